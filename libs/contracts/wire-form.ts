import { z } from 'zod';
import type { Allowed } from './problem.js';

/** What may stand in a field, as JSON Schema 2020-12. */
export type WireForm = Readonly<Record<string, unknown>>;

/** A length as text: a number or a fraction, and its unit. */
export const LENGTH_PATTERN =
  '^ *[+-]?(\\d{1,7}(\\.\\d{1,6})?|\\.\\d{1,6}|(\\d{1,7} +)?\\d{1,4}/\\d{1,4}) *(mm|cm|m|in|inch|inches|") *$';

/** Known to the contract, and refused when it is there. */
export const LEFT_OUT: WireForm = { not: {} };

/** Crockford's base 32, as the service writes its ids. */
export function idForm(prefix: string): WireForm {
  return { type: 'string', pattern: `^${prefix}_[0-7][0-9A-HJKMNP-TV-Z]{25}$` };
}

export function lengthForm(
  { min, max }: { readonly min: number; readonly max: number },
  what = 'A length',
): WireForm {
  return {
    description: `${what}: a number of mm, ${min} to ${max}, or text with its unit.`,
    anyOf: [
      { type: 'number', minimum: min, maximum: max },
      { type: 'string', pattern: LENGTH_PATTERN, maxLength: 40 },
    ],
  };
}

/** What a list of words says by itself; a form said in words is passed on as words. */
export function formOf(allowed: Allowed): WireForm {
  if ('oneOf' in allowed) return { type: 'string', enum: [...allowed.oneOf] };
  return 'form' in allowed ? { description: allowed.form } : {};
}

const KINDS = new WeakMap<object, readonly z.ZodType[]>();

/** Anything; published as one of `kinds`. */
export function alternatives(kinds: readonly z.ZodType[]) {
  const schema = z.unknown();
  KINDS.set(schema, kinds);
  return schema;
}

type JsonSchema = Record<string, unknown>;

/**
 * A schema of this library as JSON Schema 2020-12, with the schemas it names beside it.
 *
 * Shape   `io` is "input" for what is sent and "output" for what is answered. References are
 *         `#/components/schemas/Name`, as in an OpenAPI document.
 */
export function jsonSchemaOf(
  schema: z.ZodType,
  io: 'input' | 'output',
): { readonly schema: JsonSchema; readonly named: Readonly<Record<string, JsonSchema>> } {
  const named: Record<string, JsonSchema> = {};
  return { schema: writeNamed(schema, io, named), named };
}

function write(schema: z.ZodType, io: 'input' | 'output', named: Record<string, JsonSchema>): JsonSchema {
  const json = z.toJSONSchema(schema, {
    io,
    override: ({ zodSchema, jsonSchema }) => {
      const kinds = KINDS.get(zodSchema);
      if (kinds !== undefined) jsonSchema.anyOf = kinds.map((kind) => writeNamed(kind, io, named));
    },
  }) as JsonSchema;
  const {
    $schema: _,
    $defs = {},
    ...rest
  } = JSON.parse(JSON.stringify(json).replaceAll('"#/$defs/', '"#/components/schemas/')) as JsonSchema & {
    $defs?: Record<string, JsonSchema>;
  };
  for (const [name, definition] of Object.entries($defs)) named[name] = withoutId(definition);
  return rest;
}

function writeNamed(
  schema: z.ZodType,
  io: 'input' | 'output',
  named: Record<string, JsonSchema>,
): JsonSchema {
  const written = write(schema, io, named);
  const { id } = written;
  if (typeof id !== 'string') return written;
  named[id] = withoutId(written);
  return { $ref: `#/components/schemas/${id}` };
}

function withoutId({ id: _, ...rest }: JsonSchema): JsonSchema {
  return rest;
}
