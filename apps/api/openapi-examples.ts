import { CHECKS_EXAMPLES } from './openapi-examples-checks.js';
import { DRAFTS_EXAMPLES } from './openapi-examples-drafts.js';
import { EXPORTS_EXAMPLES } from './openapi-examples-exports.js';
import { MARKERS_EXAMPLES } from './openapi-examples-markers.js';
import { OUTWARD_EXAMPLES } from './openapi-examples-outward.js';
import { STORE_EXAMPLES } from './openapi-examples-store.js';

/** What the reference shows, by the name of the schema; a test holds each to its schema. */
export const EXAMPLES: Readonly<Record<string, unknown>> = {
  ...DRAFTS_EXAMPLES,
  ...EXPORTS_EXAMPLES,
  ...MARKERS_EXAMPLES,
  ...CHECKS_EXAMPLES,
  ...STORE_EXAMPLES,
  ...OUTWARD_EXAMPLES,
  Readiness: {
    ready: true,
    checks: { database: 'ok', store: 'ok', outbox: 'ok' },
    outbox: { waiting: 0, oldestSeconds: 0 },
  },
  Alive: { alive: true },
  Problem: {
    type: '/problems/request-invalid',
    title: 'The request has bad fields',
    status: 422,
    code: 'REQUEST_INVALID',
    detail: 'What happened and what to do.',
    requestId: '0f8fad5b-d9cb-469f-a165-70867728950e',
  },
};
