import type { AnswerHeader, HeaderName } from './describe.js';

type Parts<Name extends string> = Readonly<Record<Name, object>>;

const text = (pattern?: string) => ({ type: 'string', ...(pattern === undefined ? {} : { pattern }) });

export const TAGS = [
  { name: 'Drafts', description: 'The made-to-measure job and its result.' },
  { name: 'Exports', description: 'Prints of a finished draft on any paper.' },
  { name: 'Draft tokens', description: 'What a shop hands to an app to fetch prints of one draft.' },
  { name: 'Markers', description: 'Cut pieces of many drafts laid on cloth.' },
  { name: 'Checks', description: 'Patterns from outside: will they sew together?' },
  { name: 'Rules profiles', description: 'What a shop, or a customer of its, holds patterns to.' },
  { name: 'Bodies', description: 'Measures of persons, under pseudonyms.' },
  { name: 'Blocks', description: 'Base patterns, in versions that never change.' },
  { name: 'Alterations', description: 'Recipes of pattern operations.' },
  { name: 'Webhook endpoints', description: 'Where events are sent.' },
  { name: 'Deliveries', description: 'Events on their way.' },
  { name: 'Health', description: 'For those who run the service.' },
];

/** Headers a request may carry. */
export const REQUEST_HEADERS: Parts<HeaderName> = {
  'Idempotency-Key': {
    description:
      'A random text of yours. The same request with the same key is done once and answered alike for 24 hours.',
    schema: { ...text('^[!-~]+$'), minLength: 1, maxLength: 255 },
    example: '5f0c6b1e-58e0-4a0e-9c1d-6b7f7a1f3c52',
  },
  Prefer: {
    description: '`wait=N`: wait up to N seconds for the end (RFC 7240).',
    schema: text(),
    example: 'wait=10',
  },
  'If-Match': {
    description: 'The ETag of the version that is changed.',
    schema: text(),
    example: '"mik2q0x4"',
  },
  'If-None-Match': { description: 'ETags of what you have.', schema: text() },
  'If-Range': { description: 'The ETag of the file that Range goes on with.', schema: text() },
  Range: { description: 'Bytes that are asked for.', schema: text(), example: 'bytes=1000-' },
  'Last-Event-ID': {
    description: 'The last event you have seen.',
    schema: { type: 'string', pattern: '^[0-9]{1,9}$' },
  },
};

/** Headers of a webhook, by Standard Webhooks 1.0. */
export const WEBHOOK_HEADERS: Parts<'webhook-id' | 'webhook-timestamp' | 'webhook-signature'> = {
  'webhook-id': {
    description: 'Names the event; the same on every attempt, so that you can tell a repeat.',
    schema: text(),
    example: 'evt_01KAYR5T3M8Q2W4V6X7Y9Z0ABC',
  },
  'webhook-timestamp': {
    description: 'When this attempt was made, in seconds since 1970.',
    schema: text('^[0-9]+$'),
    example: '1764063003',
  },
  'webhook-signature': {
    description: 'One signature or more, with spaces between them; one that fits is enough.',
    schema: text(),
    example: 'v1,fqBKDIYTgaN9fQhZDH4NRU+dPNv/i63BkDSYbiwbRV4=',
  },
};

/** Headers an answer may carry. */
export const ANSWER_HEADERS: Parts<AnswerHeader | 'Retry-After' | 'X-Request-Id'> = {
  Location: { description: 'Where it is.', schema: { type: 'string', format: 'uri' } },
  ETag: { description: 'Its version.', schema: text() },
  'Preference-Applied': { description: 'The preference that was followed.', schema: text() },
  'Idempotency-Replayed': {
    description: '`true` when the answer was given before.',
    schema: { const: 'true' },
  },
  'Content-Range': { description: 'Which bytes these are.', schema: text() },
  'Accept-Ranges': { description: 'Ranges may be asked for.', schema: { const: 'bytes' } },
  'Content-Disposition': { description: 'The name of the file.', schema: text() },
  'Retry-After': { description: 'Seconds to wait.', schema: { type: 'string', pattern: '^[0-9]+$' } },
  'X-Request-Id': { description: 'Names the request in our logs.', schema: text() },
};
