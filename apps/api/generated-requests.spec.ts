import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import {
  buildSchema,
  getNamedType,
  isEnumType,
  isListType,
  isNonNullType,
  isObjectType,
  isScalarType,
} from 'graphql';
import type { GraphQLArgument, GraphQLField, GraphQLObjectType, GraphQLOutputType } from 'graphql';
import { PROBLEM, FIELD_PROBLEM } from '#contracts';
import { BLOCK, BODY, fromBody } from '../../test/support/draft-requests.js';
import { HOUSE_STYLE } from '../../test/support/house-style.js';
import { SEED } from '../../test/support/seed.js';
import { arbitraryOf, type JsonSchema, type NamedSchemas } from '../../test/support/schema-arbitrary.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';

const FOLDER = new URL('../../../openapi/', import.meta.url);
const DOCUMENT = JSON.parse(readFileSync(new URL('openapi.json', FOLDER), 'utf8')) as OpenApi;
const SCHEMAS = DOCUMENT.components.schemas;

/** In CI a few hundred; GENERATED_REQUESTS=5000 for the whole. */
const RUNS = Number(process.env['GENERATED_REQUESTS'] ?? 300);

/** Rare enough that a request with twenty fields is right more often than not. */
const OPTIONS = { named: SCHEMAS, known: () => ids, slipsOneIn: 100 };

interface OpenApi {
  readonly paths: Readonly<Record<string, Readonly<Record<string, OpenApiOperation>>>>;
  readonly components: {
    readonly schemas: NamedSchemas;
    readonly parameters: Readonly<Record<string, Parameter>>;
    readonly responses: Readonly<Record<string, Answer>>;
  };
}
interface OpenApiOperation {
  readonly operationId: string;
  readonly parameters?: readonly (Parameter | { readonly $ref: string })[];
  readonly requestBody?: {
    readonly content: {
      readonly 'application/json': { readonly schema: JsonSchema };
      readonly 'multipart/form-data'?: { readonly schema: JsonSchema };
    };
  };
  readonly responses: Readonly<Record<string, Answer | { readonly $ref: string }>>;
}
interface Parameter {
  readonly name: string;
  readonly in: 'path' | 'query' | 'header';
  readonly schema: JsonSchema;
}
interface Answer {
  readonly content?: Readonly<Record<string, { readonly schema: JsonSchema }>>;
}

interface Sent {
  readonly method: string;
  readonly path: string;
  readonly url: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string | FormData | undefined;
}

let api: TestApi;
/** Ids that are there, so that not every request ends at "not found". */
let ids: readonly string[];
/** Those that may be removed. */
let doomed: readonly string[];
beforeAll(async () => {
  api = await startTestApi();
  const made = async (path: string, json: unknown): Promise<string> => {
    const headers = { ...api.shop.as, 'content-type': 'application/json' };
    const response = await fetch(`${api.url}${path}`, {
      method: 'POST',
      headers,
      body: JSON.stringify(json),
    });
    return ((await response.json()) as { id: string }).id;
  };
  await made('/v1/alterations', HOUSE_STYLE);
  await made('/v1/alterations/house-style/publish', {});
  const drafts = await Promise.all([1, 2, 3].map(() => made('/v1/drafts', fromBody({}))));
  await api.finishDraft(api.shop, drafts[0] ?? '', { 'proof.svg': Buffer.from('<svg/>') });
  const store = async (ref: string): Promise<readonly string[]> => [
    await made('/v1/bodies', { ...BODY, ref }),
    await made('/v1/blocks', BLOCK),
    await made('/v1/webhook-endpoints', { url: 'https://shop.example/hooks' }),
  ];
  const outOf = (draft: string) => [
    made(`/v1/drafts/${draft}/exports`, { paper: 'a4' }),
    made(`/v1/drafts/${draft}/tokens`, {}),
  ];
  const laid = { drafts: [{ draftId: drafts[0] }], cloths: [{ name: 'denim', width: 1500 }] };
  const pattern = { dxf: '0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n' };
  const checks = [made('/v1/checks', pattern), made('/v1/checks', pattern)];
  const out = [...checks, ...outOf(drafts[0] ?? ''), made('/v1/markers', laid), made('/v1/markers', laid)];
  ids = [...drafts, ...(await Promise.all(out)), ...(await store('kept'))];
  doomed = [await made(`/v1/drafts/${drafts[0]}/tokens`, {}), ...(await store('doomed'))];
  console.log(`generated requests: ${RUNS}, FORKLINE_SEED=${SEED}`);
});
afterAll(() => api.close());

const ajv = new Ajv2020({ strict: false, validateFormats: false });
ajv.addSchema({ $id: 'forkline', components: DOCUMENT.components });
const compiled = new Map<string, ValidateFunction>();

/** The answers' schemas refer to components of the document. */
function problemsWith(schema: JsonSchema, value: unknown): unknown {
  const text = JSON.stringify(schema).replaceAll('"#/components', '"forkline#/components');
  const validate = compiled.get(text) ?? ajv.compile(JSON.parse(text) as JsonSchema);
  compiled.set(text, validate);
  return validate(value) ? null : validate.errors;
}

describe('requests made from the OpenAPI document', () => {
  // An event stream of work that goes on does not end; other specs look at those.
  const operations = Object.entries(DOCUMENT.paths).flatMap(([path, methods]) =>
    Object.entries(methods)
      .filter(([, { operationId }]) => !operationId.startsWith('follow'))
      .map(([method, operation]) => ({ path, method, operation })),
  );

  it('are answered as the document says, never with a 5xx or a trace', async () => {
    const arbRequest = fc
      .constantFrom(...operations)
      .chain((one) => arbSent(one).map((sent) => ({ ...one, sent })));
    const statuses = new Map<number, number>();
    await fc.assert(
      fc.asyncProperty(arbRequest, async ({ operation, sent }) => {
        const { method, url, headers, body } = sent;
        const response = await fetch(`${api.url}${url}`, {
          method: method.toUpperCase(),
          headers: { ...api.shop.as, ...headers },
          redirect: 'manual',
          ...(body === undefined ? {} : { body }),
        });
        const text = await response.text();
        statuses.set(response.status, (statuses.get(response.status) ?? 0) + 1);
        expect(response.status).toBeLessThan(operation.operationId === 'isReady' ? 504 : 500);
        expect(text).not.toMatch(/\bat .*\.js:\d+|node_modules|prisma/i);
        const answer = answerOf(operation, response.status);
        expect({ url, status: response.status, declared: answer !== undefined }).toMatchObject({
          declared: true,
        });
        const type = (response.headers.get('content-type') ?? '').split(';')[0] ?? '';
        const schema = answer?.content?.[type]?.schema;
        if (type.endsWith('json') && answer?.content?.['*/*'] === undefined) {
          expect({ type, described: schema !== undefined }).toMatchObject({ described: true });
          expect(problemsWith(schema ?? {}, JSON.parse(text))).toBeNull();
        }
      }),
      { numRuns: RUNS, seed: SEED },
    );
    console.log(
      'answers by status:',
      JSON.stringify(Object.fromEntries([...statuses].sort(([a], [b]) => a - b))),
    );
    // Enough of them were right that the insides were reached, and enough were wrong.
    const countOf = (from: number) =>
      [...statuses].reduce((sum, [s, n]) => sum + (Math.floor(s / 100) === from ? n : 0), 0);
    expect(countOf(2)).toBeGreaterThan(RUNS / 20);
    expect(countOf(4)).toBeGreaterThan(RUNS / 20);
  }, 1_800_000);

  function answerOf({ responses }: OpenApiOperation, status: number): Answer | undefined {
    const answer = responses[String(status)];
    return answer !== undefined && '$ref' in answer
      ? DOCUMENT.components.responses[answer.$ref.split('/').at(-1) ?? '']
      : answer;
  }

  function arbSent({ path, method, operation }: (typeof operations)[number]): fc.Arbitrary<Sent> {
    const parameters = (operation.parameters ?? []).map((parameter) =>
      '$ref' in parameter
        ? DOCUMENT.components.parameters[parameter.$ref.split('/').at(-1) ?? '']
        : parameter,
    );
    const of = (place: Parameter['in']) => parameters.filter((parameter) => parameter.in === place);
    const arbPath = fc.record(Object.fromEntries(of('path').map((p) => [p.name, arbPathPart(p, method)])));
    const arbQuery = fc.record(Object.fromEntries(of('query').map((p) => [p.name, arbText(p)])), {
      requiredKeys: [],
    });
    const arbHeaders = fc.record(Object.fromEntries(of('header').map((p) => [p.name, arbHeader(p)])), {
      requiredKeys: [],
    });
    const schema = operation.requestBody?.content['application/json'].schema;
    const arbBody =
      schema === undefined
        ? fc.constant(undefined)
        : arbitraryOf(schema, OPTIONS).map((value) => JSON.stringify(value));
    const form = operation.requestBody?.content['multipart/form-data']?.schema;
    const arbForm = form === undefined ? arbBody : fc.oneof(arbBody, arbitraryOf(form, OPTIONS).map(formOf));
    return fc.tuple(arbPath, arbQuery, arbHeaders, arbForm).map(([parts, query, headers, body]) => {
      const filled = path.replaceAll(/\{(\w+)\}/g, (_, name: string) =>
        encodeURIComponent(parts[name] ?? 'x'),
      );
      const search = new URLSearchParams(query as Record<string, string>).toString();
      const type = typeof body === 'string' ? { 'content-type': 'application/json' } : {};
      return {
        method,
        path,
        url: `${filled}${search === '' ? '' : `?${search}`}`,
        headers: { ...headers, ...type },
        body,
      };
    });
  }

  /** Lists and objects are JSON in a part; the file is one, or text where something else stands in its place. */
  function formOf(value: unknown): FormData {
    const data = new FormData();
    const parts = typeof value === 'object' && value !== null ? Object.entries(value) : [];
    for (const [name, part] of parts) {
      if (name === 'file' && typeof part === 'string') data.append(name, new Blob([part]), 'a.dxf');
      else data.append(name, typeof part === 'string' ? part : JSON.stringify(part));
    }
    return data;
  }

  function arbPathPart({ name, schema }: Parameter, method: string): fc.Arbitrary<string> {
    const known =
      method === 'delete' ? () => doomed : () => [...ids, 'proof.svg', 'drop-crotch', 'house-style'];
    const some = arbitraryOf(schema, { ...OPTIONS, known }).map(String);
    const arbPart = name === 'version' ? fc.oneof(fc.constantFrom('1', '2'), some) : some;
    // A dot alone is taken out of an address by the client, and a lone surrogate cannot be in one.
    return arbPart.filter((text) => !/^\.{0,2}$/.test(text) && !/\p{Cs}/u.test(text));
  }

  function arbText({ schema }: Parameter): fc.Arbitrary<string> {
    return fc.oneof(arbitraryOf(schema, OPTIONS), fc.constantFrom(...ids)).map(String);
  }

  function arbHeader({ name, schema }: Parameter): fc.Arbitrary<string> {
    const usual = {
      Prefer: ['wait=0', 'respond-async', 'wait=x'],
      'If-Match': ['*', '"a"'],
      Range: ['bytes=0-1', 'bytes=9-'],
    };
    const some = (usual as Record<string, string[]>)[name] ?? ['*'];
    const text = arbitraryOf(schema, OPTIONS).map((value) =>
      String(value)
        .replaceAll(/[^\x21-\x7e]/g, '-')
        .slice(0, 200),
    );
    return fc
      .oneof(name === 'Idempotency-Key' ? fc.uuid() : fc.constantFrom(...some), text)
      .filter((value) => !/wait *= *"?[1-9]/.test(value) && value.trim() !== '');
  }
});

describe('requests made from the GraphQL schema', () => {
  const schema = buildSchema(readFileSync(new URL('schema.graphql', FOLDER), 'utf8'));
  const roots = [schema.getQueryType(), schema.getMutationType()].flatMap((root) =>
    Object.values((root as GraphQLObjectType).getFields()).map((field) => ({
      verb: (root as GraphQLObjectType).name.toLowerCase(),
      field,
    })),
  );
  // What GraphQL and the service say of mistakes of the caller's; anything else is our fault.
  const CODES = [
    'BAD_USER_INPUT',
    'NOT_FOUND',
    'ALREADY_EXISTS',
    'STATE_CONFLICT',
    'CHANGED_MEANWHILE',
    'IDEMPOTENCY_KEY_REUSED',
    'STILL_IN_PROGRESS',
    'GRAPHQL_VALIDATION_FAILED',
  ];

  it('are answered as the schema says, never with a fault of ours or a trace', async () => {
    const counts = { answered: 0, refused: 0 };
    const arbQuery = fc.constantFrom(...roots).chain(({ verb, field }) => arbCall(verb, field));
    await fc.assert(
      fc.asyncProperty(arbQuery, async ({ query, variables }) => {
        const response = await fetch(`${api.url}/graphql`, {
          method: 'POST',
          headers: { ...api.shop.as, 'content-type': 'application/json' },
          body: JSON.stringify({ query, variables }),
        });
        const text = await response.text();
        expect(text).not.toMatch(/stacktrace|\bat .*\.js:\d+|prisma/i);
        const answer = JSON.parse(text) as {
          errors?: { extensions: { code: string; problems?: unknown[] } }[];
        };
        if (response.status === 422 || (response.status === 400 && answer.errors === undefined)) {
          // Refused before GraphQL saw it, such as a text that is no text.
          expect(PROBLEM.safeParse(answer).success).toBe(true);
        } else expect([200, 400]).toContain(response.status);
        for (const { extensions } of answer.errors ?? []) {
          expect({ text, code: CODES.includes(extensions.code) }).toEqual({ text, code: true });
          for (const problem of extensions.problems ?? [])
            expect(FIELD_PROBLEM.safeParse(problem).success).toBe(true);
        }
        counts[answer.errors === undefined ? 'answered' : 'refused'] += 1;
      }),
      { numRuns: Math.ceil(RUNS / 5), seed: SEED },
    );
    console.log('answers of GraphQL:', JSON.stringify(counts));
    expect(counts.answered).toBeGreaterThan(0);
    expect(counts.refused).toBeGreaterThan(0);
  }, 1_800_000);

  function arbCall(verb: string, field: GraphQLField<unknown, unknown>) {
    const shape = Object.fromEntries(
      field.args.map((argument) => [argument.name, arbArgument(argument, field.name)]),
    );
    const requiredKeys = field.args.filter(({ type }) => isNonNullType(type)).map(({ name }) => name);
    const declared = field.args.map(({ name, type }) => `$${name}: ${String(type)}`).join(', ');
    const passed = field.args.map(({ name }) => `${name}: $${name}`).join(', ');
    const head = declared === '' ? verb : `${verb}(${declared})`;
    const call = `${field.name}${passed === '' ? '' : `(${passed})`}${selection(field.type, 0)}`;
    return fc
      .record(shape, { requiredKeys })
      .map((variables) => ({ query: `${head} { ${call} }`, variables }));
  }

  function arbArgument({ name, type }: GraphQLArgument, field: string): fc.Arbitrary<unknown> {
    const named = getNamedType(type);
    const right = (): fc.Arbitrary<unknown> => {
      if (named.name === 'ID') return arbId(field);
      if (name === 'name') return fc.constantFrom('drop-crotch', 'house-style');
      if (named.name === 'Int') return fc.integer({ min: -1, max: 300 });
      if (isEnumType(named)) return fc.constantFrom(...named.getValues().map(({ name }) => name));
      if (isScalarType(named) && SCHEMAS[named.name] !== undefined)
        return arbitraryOf(SCHEMAS[named.name] ?? {}, OPTIONS);
      return fc.string({ unit: 'grapheme', minLength: 1, maxLength: 40 });
    };
    return fc.oneof({ arbitrary: right(), weight: 30 }, fc.jsonValue({ maxDepth: 2 }));
  }

  function arbId(field: string): fc.Arbitrary<string> {
    const known = () => (/^(erase|delete|revoke)/.test(field) ? doomed : ids);
    return fc.constant(undefined).chain(() => fc.constantFrom(...known()));
  }

  function selection(type: GraphQLOutputType, depth: number): string {
    const inner = isNonNullType(type) || isListType(type) ? getNamedType(type) : type;
    if (!isObjectType(inner) || depth > 4) return '';
    const fields = Object.values(inner.getFields()).map(
      (field) => `${field.name}${selection(field.type, depth + 1)}`,
    );
    return ` { ${fields.join(' ')} }`;
  }
});
