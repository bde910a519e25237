import { Field, Float, ID, Int, ObjectType, registerEnumType } from '@nestjs/graphql';
import { z } from 'zod';
import { JsonValue } from './graphql-scalars.js';

type Class = abstract new () => object;
type Output = Parameters<typeof Field>[0];

const TYPES = new Map<string, Class>();
const ENUMS = new Map<string, object>();

/**
 * A GraphQL object type with the fields of a schema, under the schema's own name: what REST answers is what GraphQL
 * answers, and no second class has to be kept like the first.
 *
 * Shape   `id` and names that end in Id are ID, whole numbers Int (byte counts Float: Int ends at two gigabytes),
 *         named enums are enums, nested objects are types of their own, maps are JsonValue, and what is optional is
 *         nullable.
 */
export function graphqlType(schema: z.ZodType): Class {
  const name = nameOf(schema);
  const known = TYPES.get(name);
  if (known !== undefined) return known;
  if (!(schema instanceof z.ZodObject)) throw new Error(`NOT_AN_OBJECT ${name}`);
  const type = { [name]: class {} }[name] as Class & (new () => object);
  TYPES.set(name, type);
  const { description } = schema.meta() ?? {};
  ObjectType(name, { description: description ?? `${name}.` })(type);
  const shape = schema.shape as Record<string, z.ZodType>;
  for (const [field, written] of Object.entries(shape)) {
    const nullable = written instanceof z.ZodOptional;
    const value = nullable ? (written.unwrap() as z.ZodType) : written;
    const words = written.meta()?.description ?? value.meta()?.description ?? sentence(field);
    Field(outputOf(field, value), { nullable, description: words })(type.prototype as object, field);
  }
  return type;
}

function nameOf(schema: z.ZodType): string {
  const id = schema.meta()?.['id'];
  if (typeof id !== 'string') throw new Error('TYPE_NOT_NAMED');
  return id;
}

function outputOf(field: string, schema: z.ZodType): Output {
  if (schema instanceof z.ZodArray) {
    const item = typeOf(field, schema.element as z.ZodType);
    return () => [item];
  }
  const type = typeOf(field, schema);
  return () => type;
}

function typeOf(field: string, schema: z.ZodType): Class | object {
  if (schema instanceof z.ZodEnum) return enumOf(schema);
  if (schema instanceof z.ZodObject) return graphqlType(schema);
  if (schema instanceof z.ZodBoolean) return Boolean;
  if (schema instanceof z.ZodNumber) return schema.isInt && field !== 'bytes' ? Int : Float;
  if (schema instanceof z.ZodRecord || schema instanceof z.ZodUnion) return JsonValue;
  return field === 'id' || field.endsWith('Id') ? ID : String;
}

/**
 * A named list of words as an enum, written in capitals as GraphQL's are: the word needs_attention is
 * NEEDS_ATTENTION there. Words that cannot be names, such as draft.ready, stay text.
 */
export function enumOf(schema: z.ZodEnum): object {
  const id = schema.meta()?.['id'];
  if (typeof id !== 'string') return String;
  const known = ENUMS.get(id);
  if (known !== undefined) return known;
  const words = Object.keys(schema.enum);
  const values = Object.fromEntries(words.map((word) => [word.toUpperCase(), word]));
  ENUMS.set(id, values);
  const valuesMap = Object.fromEntries(
    words.map((word) => [word.toUpperCase(), { description: sentence(word) }]),
  );
  registerEnumType(values, { name: id, description: schema.meta()?.description ?? `${id}.`, valuesMap });
  return values;
}

/** "engineVersion": "Engine version." */
function sentence(name: string): string {
  const words = name.replaceAll('_', ' ').replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
}
