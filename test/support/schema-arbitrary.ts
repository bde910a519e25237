import fc from 'fast-check';

export type JsonSchema = Readonly<Record<string, unknown>>;
export type NamedSchemas = Readonly<Record<string, JsonSchema>>;

export interface ArbitraryOptions {
  readonly named: NamedSchemas;
  /** Texts that mean something, such as ids that are there: often taken where they fit. */
  readonly known: () => readonly string[];
  /** One value in so many is something else. */
  readonly slipsOneIn: number;
}

/** As deep as a value is made; below it only junk follows. */
const DEPTH_MAX = 12;

/** What no schema of ours has room for, and what breaks readers that are not careful. */
const JUNK = fc.oneof(
  fc.constantFrom(
    null,
    true,
    -0,
    1e308,
    -1,
    0.5,
    '',
    ' ',
    '\u0000',
    '\ud800',
    'from-body',
    '__proto__',
    [],
    {},
    [[]],
  ),
  fc.constantFrom(
    { ['__proto__']: 1 },
    { constructor: { prototype: {} } },
    'x'.repeat(2_000),
    '1e9 in',
    '5/0 in',
  ),
  fc.jsonValue({ maxDepth: 3 }),
);

/**
 * Values as a JSON Schema describes them, with slips: a value of another kind, a field too many.
 *
 * For the kinds that the published description uses; another kind throws, so that a new one is not left untested.
 */
export function arbitraryOf(schema: JsonSchema, options: ArbitraryOptions, depth = 0): fc.Arbitrary<unknown> {
  if (depth > DEPTH_MAX) return JUNK;
  const right = rightValue(schema, options, depth);
  return fc.oneof({ arbitrary: right, weight: options.slipsOneIn - 1 }, { arbitrary: JUNK, weight: 1 });
}

function rightValue(schema: JsonSchema, options: ArbitraryOptions, depth: number): fc.Arbitrary<unknown> {
  const inner = (other: JsonSchema) => arbitraryOf(other, options, depth + 1);
  const { $ref, anyOf, enum: words, type } = schema;
  if (typeof $ref === 'string')
    return rightValue(options.named[$ref.split('/').at(-1) ?? ''] ?? {}, options, depth);
  if (Array.isArray(anyOf)) return oneKindOf(anyOf as JsonSchema[], inner);
  if ('const' in schema) return fc.constant(schema['const']);
  if (Array.isArray(words)) return fc.constantFrom(...(words as unknown[]));
  if (type === 'object') return objectOf(schema, inner, options);
  if (type === 'array') return arrayOf(schema, inner);
  if (type === 'string') return textOf(schema, options);
  if (type === 'number' || type === 'integer') return numberOf(schema);
  if (type === 'boolean') return fc.boolean();
  if (Object.keys(schema).every((key) => key === 'description')) return JUNK;
  throw new Error(`SCHEMA_KIND_UNKNOWN ${JSON.stringify(schema).slice(0, 200)}`);
}

type Inner = (schema: JsonSchema) => fc.Arbitrary<unknown>;

/** The first kind is the usual one: a length as a number, an ease by its name. */
function oneKindOf(kinds: readonly JsonSchema[], inner: Inner): fc.Arbitrary<unknown> {
  return fc.oneof(...kinds.map((kind, i) => ({ arbitrary: inner(kind), weight: i === 0 ? 5 : 1 })));
}

function objectOf(schema: JsonSchema, inner: Inner, { slipsOneIn }: ArbitraryOptions): fc.Arbitrary<object> {
  const properties = Object.entries((schema['properties'] ?? {}) as Record<string, JsonSchema>);
  const needed = (schema['required'] ?? []) as string[];
  const sent = properties.filter(([, property]) => !('not' in property));
  const arbRecord = choicesOf(schema).chain((chosen) => {
    const kept = sent.filter(([name]) => !chosen.left.includes(name));
    const shape = Object.fromEntries(kept.map(([name, property]) => [name, inner(property)]));
    return fc.record(shape, { requiredKeys: [...needed, ...chosen.taken] });
  });
  const extra = fc.oneof(
    { arbitrary: fc.constant(null), weight: slipsOneIn - 1 },
    { arbitrary: fc.string({ maxLength: 12 }), weight: 1 },
  );
  return fc.tuple(arbRecord, extra).map(([value, name]) => (name === null ? value : { ...value, [name]: 1 }));
}

/** Of each "one of these names": which is taken, and which are left out for it. */
function choicesOf({
  allOf = [],
}: JsonSchema): fc.Arbitrary<{ readonly taken: string[]; readonly left: string[] }> {
  const groups = (allOf as { readonly oneOf: readonly { readonly required: string[] }[] }[]).map(
    ({ oneOf }) => oneOf.flatMap(({ required }) => required),
  );
  const arbTaken = fc.tuple(...groups.map((names) => fc.constantFrom(...names)));
  return arbTaken.map((taken) => ({ taken, left: groups.flat().filter((name) => !taken.includes(name)) }));
}

function arrayOf(schema: JsonSchema, inner: Inner): fc.Arbitrary<unknown[]> {
  const minLength = (schema['minItems'] as number | undefined) ?? 0;
  const maxLength = Math.min((schema['maxItems'] as number | undefined) ?? 4, Math.max(minLength, 6));
  return fc.array(inner((schema['items'] ?? {}) as JsonSchema), { minLength, maxLength });
}

function textOf(
  { pattern, format, minLength, maxLength }: JsonSchema,
  { known }: ArbitraryOptions,
): fc.Arbitrary<string> {
  if (typeof pattern === 'string') {
    const form = new RegExp(pattern);
    const arbKnown = fc.constant(undefined).chain(() => {
      const fitting = known().filter((text) => form.test(text));
      return fitting.length === 0 ? fc.stringMatching(form) : fc.constantFrom(...fitting);
    });
    return fc.oneof({ arbitrary: arbKnown, weight: 6 }, fc.stringMatching(form));
  }
  if (format === 'date') {
    return fc
      .date({ min: new Date(0), max: new Date('2100-01-01'), noInvalidDate: true })
      .map((day) => day.toISOString().slice(0, 10));
  }
  if (format === 'uri') return fc.webUrl();
  const shortest = (minLength as number | undefined) ?? 0;
  const longest = Math.min(80, (maxLength as number | undefined) ?? 80);
  return fc.string({ minLength: shortest, maxLength: longest, unit: 'grapheme' });
}

function numberOf({ type, minimum = -1e6, maximum = 1e6 }: JsonSchema): fc.Arbitrary<number> {
  const limits = { min: minimum as number, max: maximum as number };
  return type === 'integer' ? fc.integer(limits) : fc.double({ ...limits, noNaN: true });
}
