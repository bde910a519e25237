import type { Type } from '@nestjs/common';
import { jsonSchemaOf, PROBLEM, WEBHOOK } from '#contracts';
import type { z } from 'zod';
import { PROBLEM_KINDS, type ProblemKind } from './api-error.js';
import { routesOf, type Answer, type Operation } from './describe.js';
import { EXAMPLES } from './openapi-examples.js';
import { ANSWER_HEADERS, REQUEST_HEADERS, TAGS, WEBHOOK_HEADERS } from './openapi-parts.js';

type JsonObject = Readonly<Record<string, unknown>>;

const ABOUT = `Made-to-measure trouser patterns as a service: a body in, a trued pattern out, with the proof.

Lengths are millimetres. Where a length may be sent, text with a unit is read too: "28 cm", "11 1/4 in".
Everything that goes wrong is answered as a problem of RFC 9457; all bad fields are listed at once.`;

/**
 * The description of the service, from its routes and schemas: OpenAPI 3.1.
 *
 * The same program gives the same document, byte for byte: no time, no address, names in order.
 */
export function openApiDocument(controllers: readonly Type[]): JsonObject {
  const schemas = new Schemas();
  const routes = routesOf(controllers);
  const paths: Record<string, Record<string, unknown>> = {};
  for (const { path, method, operation } of routes) {
    if (operation === undefined) continue;
    paths[path] = { ...paths[path], [method]: describe(operation, path, schemas) };
  }
  schemas.use(PROBLEM, 'output');
  return {
    openapi: '3.1.0',
    info: {
      title: 'Forkline',
      version: '1.0.0',
      summary: 'Made-to-measure trouser patterns as a service.',
      description: ABOUT,
      license: { name: 'MIT', identifier: 'MIT' },
    },
    servers: [{ url: '/', description: 'This service.' }],
    security: [{ apiKey: [] }],
    tags: TAGS,
    paths: sorted(paths),
    webhooks: Object.fromEntries(
      (['draft', 'marker', 'check'] as const).map((word) => [
        `${word}Ended`,
        { post: webhook(word, schemas) },
      ]),
    ),
    components: {
      securitySchemes: {
        apiKey: {
          type: 'http',
          scheme: 'bearer',
          description: "A shop's API key: `Authorization: Bearer fkl_...`.",
        },
        draftToken: {
          type: 'http',
          scheme: 'bearer',
          description: 'A token that a shop has made for one draft: `Authorization: Bearer fkt_...`.',
        },
      },
      parameters: Object.fromEntries(
        Object.entries(REQUEST_HEADERS).map(([name, header]) => [name, { name, in: 'header', ...header }]),
      ),
      headers: ANSWER_HEADERS,
      responses: problemResponses(
        routes.flatMap(({ operation }) => (operation === undefined ? [] : problemKinds(operation))),
      ),
      schemas: sorted(schemas.named),
    },
  };
}

const ABOUT_SIGNING = `Sent to every endpoint of the shop that listens to its type, signed as Standard Webhooks 1.0 says.

To verify: take the bytes of the body as they came, before any JSON reader touches them. Join \`webhook-id\`,
\`webhook-timestamp\` and the body with full stops. The HMAC-SHA256 of that, keyed with the bytes that the secret holds in
base64 behind \`whsec_\`, is in base64 what stands behind \`v1,\` in \`webhook-signature\`. For a day after
a secret was changed there are more signatures, with spaces between them, and one that fits is enough. Refuse what is more than five minutes old,
and take a \`webhook-id\` you have seen as done.

Answer within 15 seconds; the work can wait. What is not answered with 2xx is sent again.`;

function webhook(word: 'draft' | 'marker' | 'check', schemas: Schemas): JsonObject {
  return {
    operationId: `${word}Ended`,
    tags: ['Webhook endpoints'],
    summary: `A ${word} has ended`,
    description: ABOUT_SIGNING,
    security: [],
    parameters: Object.entries(WEBHOOK_HEADERS).map(([name, header]) => ({
      name,
      in: 'header',
      required: true,
      ...header,
    })),
    requestBody: { required: true, content: json(schemas.use(WEBHOOK, 'output')) },
    responses: {
      '2XX': { description: 'It has arrived.' },
      410: { description: 'Nothing more is to come here: the endpoint is disabled.' },
      429: { description: 'Later; `Retry-After` is followed.' },
    },
  };
}

/** JSON Schemas by name, gathered while the routes are described. */
class Schemas {
  readonly named: Record<string, unknown> = {};

  use(schema: z.ZodType, io: 'input' | 'output'): JsonObject {
    const written = jsonSchemaOf(schema, io);
    Object.assign(this.named, written.named);
    return written.schema;
  }
}

function describe(operation: Operation, path: string, schemas: Schemas): JsonObject {
  const { id, tag, summary, description, query, headers = [], answers, access } = operation;
  const parameters = [
    ...pathParameters(path, operation),
    ...(query === undefined ? [] : queryParameters(schemas.use(query, 'input'))),
    ...headers.map((name) => ({ $ref: `#/components/parameters/${name}` })),
  ];
  return {
    operationId: id,
    tags: [tag],
    summary,
    ...(description === undefined ? {} : { description }),
    ...securityOf(access),
    ...(parameters.length === 0 ? {} : { parameters }),
    ...requestBody(operation, schemas),
    responses: {
      ...Object.fromEntries(
        Object.entries(answers).map(([status, answer]) => [status, describeAnswer(answer, schemas)]),
      ),
      ...problemReferences(operation),
    },
  };
}

function requestBody({ body, upload }: Operation, schemas: Schemas): JsonObject {
  if (body === undefined) return {};
  const form =
    upload === undefined ? {} : { 'multipart/form-data': { schema: schemas.use(upload, 'input') } };
  return { requestBody: { required: true, content: { ...json(schemas.use(body, 'input')), ...form } } };
}

function securityOf(access: Operation['access']): JsonObject {
  if (access === undefined) return {};
  return { security: access === 'open' ? [] : [{ apiKey: [] }, { draftToken: [] }] };
}

function pathParameters(path: string, { params = {} }: Operation): JsonObject[] {
  return [...path.matchAll(/\{(\w+)\}/g)].map(([, name = '']) => {
    const form = params[name];
    if (form === undefined) throw new Error(`PARAMETER_NOT_DESCRIBED ${path} ${name}`);
    const schema =
      typeof form === 'string' ? { type: 'string', pattern: `^${form}_[0-7][0-9A-HJKMNP-TV-Z]{25}$` } : form;
    return { name, in: 'path', required: true, schema };
  });
}

function queryParameters({ properties }: JsonObject): JsonObject[] {
  return Object.entries(properties as Record<string, JsonObject>).map(([name, schema]) => ({
    name,
    in: 'query',
    schema,
  }));
}

function describeAnswer({ says, schema, example, text, headers = [] }: Answer, schemas: Schemas): JsonObject {
  return {
    description: says,
    headers: Object.fromEntries(
      [...headers, 'X-Request-Id'].map((name) => [name, { $ref: `#/components/headers/${name}` }]),
    ),
    ...(schema === undefined ? {} : { content: json(schemas.use(schema, 'output'), example) }),
    ...(text === undefined ? {} : { content: { [text]: { schema: { type: 'string' } } } }),
  };
}

function json(schema: JsonObject, ownExample?: unknown): JsonObject {
  const name = (schema['$ref'] as string | undefined)?.split('/').at(-1) ?? '';
  const example = ownExample ?? EXAMPLES[name];
  return { 'application/json': { schema, ...(example === undefined ? {} : { example }) } };
}

/** What a route answers when it refuses, by what it takes. */
function problemKinds({
  params,
  body,
  query,
  headers = [],
  access,
  problems = [],
}: Operation): ProblemKind[] {
  const reads = body !== undefined;
  const once = headers.includes('Idempotency-Key');
  return [
    ...problems,
    ...(access === 'open' ? [] : (['key-missing', 'too-many-requests', 'service-unavailable'] as const)),
    ...(params === undefined ? [] : (['not-found'] as const)),
    ...(reads ? (['request-malformed', 'request-too-large', 'media-type-unsupported'] as const) : []),
    ...(reads || query !== undefined || once ? (['request-invalid'] as const) : []),
    ...(once ? (['still-in-progress'] as const) : []),
  ];
}

function problemReferences(operation: Operation): JsonObject {
  const statuses = problemKinds(operation).map((kind) => PROBLEM_KINDS[kind].status);
  const references = [...new Set(statuses)].map((status) => [
    String(status),
    { $ref: `#/components/responses/Problem${status}` },
  ]);
  return Object.fromEntries(references) as JsonObject;
}

/** One for each status that is used, with the kinds it may be. */
function problemResponses(used: readonly ProblemKind[]): JsonObject {
  const kinds = Object.entries(PROBLEM_KINDS).filter(([kind]) => used.includes(kind as ProblemKind));
  const statuses = [...new Set(kinds.map(([, { status }]) => status))];
  const responses = statuses.map((status) => {
    const here = kinds.filter(([, kind]) => kind.status === status);
    const description = here.map(([name, { title }]) => `\`${name}\`: ${title}.`).join(' ');
    const headers = [...(HEADERS_OF[status] ?? []), 'X-Request-Id'];
    const [name, { title }] = here[0];
    const example = {
      ...(EXAMPLES['Problem'] as object),
      type: `/problems/${name}`,
      title,
      status,
      code: codeOf(name),
    };
    return [
      `Problem${status}`,
      {
        description,
        headers: Object.fromEntries(
          headers.map((header) => [header, { $ref: `#/components/headers/${header}` }]),
        ),
        content: {
          'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' }, example },
        },
      },
    ];
  });
  return Object.fromEntries(responses) as JsonObject;
}

const HEADERS_OF: Readonly<Record<number, readonly string[]>> = {
  416: ['Content-Range'],
  429: ['Retry-After'],
  503: ['Retry-After'],
};

function codeOf(kind: string): string {
  return kind.toUpperCase().replaceAll('-', '_');
}

function sorted<T>(named: Readonly<Record<string, T>>): Record<string, T> {
  return Object.fromEntries(Object.entries(named).sort(([a], [b]) => (a < b ? -1 : 1)));
}
