import 'reflect-metadata';
import { NestFactory } from '@nestjs/core';
import { GraphQLSchemaBuilderModule, GraphQLSchemaFactory } from '@nestjs/graphql';
import { lexicographicSortSchema, printSchema } from 'graphql';
import { jsonSchemaOf, RECIPE } from '#contracts';
import { CONTROLLERS, RESOLVERS } from './api-module.js';
import { describeRoots } from './graphql-roots.js';
import { openApiDocument } from './openapi-document.js';

/** The service as OpenAPI 3.1, the bytes of openapi/openapi.json. */
export function openApiText(): string {
  return `${JSON.stringify(openApiDocument(CONTROLLERS), null, 2)}\n`;
}

/** A recipe by itself as JSON Schema 2020-12, the bytes of openapi/recipe.schema.json: for editors and validators. */
export function recipeSchemaText(): string {
  const { schema, named } = jsonSchemaOf(RECIPE, 'input');
  const document = {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Recipe',
    description: 'A recipe of pattern operations, as /v1/alterations takes it.',
    ...schema,
    $defs: Object.fromEntries(Object.entries(named).sort(([a], [b]) => (a < b ? -1 : 1))),
  };
  return `${JSON.stringify(document, null, 2).replaceAll('"#/components/schemas/', '"#/$defs/')}\n`;
}

/** The service as GraphQL SDL, the bytes of openapi/schema.graphql. Needs neither database nor port. */
export async function sdlText(): Promise<string> {
  const app = await NestFactory.createApplicationContext(GraphQLSchemaBuilderModule, { logger: false });
  const schema = await app.get(GraphQLSchemaFactory).create(RESOLVERS);
  await app.close();
  return `${printSchema(lexicographicSortSchema(describeRoots(schema)))}\n`;
}
