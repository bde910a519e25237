import {
  DRAFT_TOKEN,
  DRAFT_TOKEN_PAGE,
  DRAFT_TOKEN_REQUEST,
  EXPORT,
  EXPORT_PAGE,
  EXPORT_REQUEST,
  PAGE_QUERY,
} from '#contracts';
import type { Operation } from './describe.js';
import { DOWNLOAD } from './download.operation.js';

const tag = 'Exports';
const HEADERS = ['Location', 'Preference-Applied', 'Idempotency-Replayed'] as const;

export const EXPORT_OPERATIONS = {
  create: {
    id: 'createExport',
    tag,
    summary: 'Print a finished draft on another paper',
    description:
      'A PDF at true size. `pages` and the size of a page are known before it is rendered: with `Prefer: wait=N` the answer waits for the end, at most N seconds and at most 30, and otherwise the export tells them when it is asked again. The same print of the same draft is made once. Only by the version of the service that made the draft.',
    params: { id: 'drf' },
    body: EXPORT_REQUEST,
    headers: ['Idempotency-Key', 'Prefer'],
    answers: {
      201: { says: 'It is there.', schema: EXPORT, headers: HEADERS },
      202: { says: 'It is accepted.', schema: EXPORT, headers: HEADERS },
    },
    problems: ['state-conflict'],
    access: 'draft-token',
  },
  page: {
    id: 'listExports',
    tag,
    summary: 'List the exports of a draft, newest first',
    params: { id: 'drf' },
    query: PAGE_QUERY,
    answers: { 200: { says: 'One page.', schema: EXPORT_PAGE } },
    access: 'draft-token',
  },
  find: {
    id: 'getExport',
    tag,
    summary: 'Look at an export',
    params: { id: 'exp' },
    answers: { 200: { says: 'The export.', schema: EXPORT } },
    access: 'draft-token',
  },
  file: {
    ...DOWNLOAD,
    id: 'getExportFile',
    tag,
    summary: 'Download an export',
    params: { id: 'exp' },
    problems: ['range-unsatisfiable', 'state-conflict'],
    access: 'draft-token',
  },
  events: {
    id: 'followExport',
    tag,
    summary: 'Follow an export',
    description:
      'Server-sent events: `event: export`, `id` the sequence, `data` an export. The stream ends with the export. A client that comes back with Last-Event-ID goes on from there.',
    params: { id: 'exp' },
    headers: ['Last-Event-ID'],
    answers: {
      200: { says: 'The export as it stands, and each time it has changed.', text: 'text/event-stream' },
      204: { says: 'It has ended and you have seen it; do not come back.' },
    },
    access: 'draft-token',
  },
} as const satisfies Record<string, Operation>;

export const DRAFT_TOKEN_OPERATIONS = {
  create: {
    id: 'createDraftToken',
    tag: 'Draft tokens',
    summary: 'Make a token for one draft',
    description:
      'An app that sends it as its key may ask for prints of this draft and fetch them and its cut files, for as long as asked: never a file that holds measures, and nothing else. It is shown once; the same Idempotency-Key again answers without it.',
    params: { id: 'drf' },
    body: DRAFT_TOKEN_REQUEST,
    headers: ['Idempotency-Key'],
    answers: {
      201: {
        says: 'The token, this once.',
        schema: DRAFT_TOKEN,
        headers: ['Location', 'Idempotency-Replayed'],
      },
    },
  },
  page: {
    id: 'listDraftTokens',
    tag: 'Draft tokens',
    summary: 'List the tokens of a draft, newest first',
    params: { id: 'drf' },
    query: PAGE_QUERY,
    answers: { 200: { says: 'One page, without the tokens themselves.', schema: DRAFT_TOKEN_PAGE } },
  },
  find: {
    id: 'getDraftToken',
    tag: 'Draft tokens',
    summary: 'Look at a token',
    params: { id: 'tok' },
    answers: { 200: { says: 'What is known of it; not the token itself.', schema: DRAFT_TOKEN } },
  },
  revoke: {
    id: 'revokeDraftToken',
    tag: 'Draft tokens',
    summary: 'Revoke a token',
    description: 'Revoking twice is one revocation.',
    params: { id: 'tok' },
    answers: { 204: { says: 'It opens nothing any more.' } },
  },
} as const satisfies Record<string, Operation>;
