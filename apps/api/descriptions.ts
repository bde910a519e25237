import 'reflect-metadata';
import { NestFactory } from '@nestjs/core';
import { GraphQLSchemaBuilderModule, GraphQLSchemaFactory } from '@nestjs/graphql';
import { lexicographicSortSchema, printSchema } from 'graphql';
import { CONTROLLERS, RESOLVERS } from './api-module.js';
import { describeRoots } from './graphql-roots.js';
import { openApiDocument } from './openapi-document.js';

/** The service as OpenAPI 3.1, the bytes of openapi/openapi.json. */
export function openApiText(): string {
  return `${JSON.stringify(openApiDocument(CONTROLLERS), null, 2)}\n`;
}

/** The service as GraphQL SDL, the bytes of openapi/schema.graphql. Needs neither database nor port. */
export async function sdlText(): Promise<string> {
  const app = await NestFactory.createApplicationContext(GraphQLSchemaBuilderModule, { logger: false });
  const schema = await app.get(GraphQLSchemaFactory).create(RESOLVERS);
  await app.close();
  return `${printSchema(lexicographicSortSchema(describeRoots(schema)))}\n`;
}
