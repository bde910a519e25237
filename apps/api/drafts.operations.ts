import { DRAFT, DRAFT_FILES, DRAFT_PAGE, DRAFT_REQUEST_FORM, DRAFTS_QUERY } from '#contracts';
import type { Operation } from './describe.js';
import { DOWNLOAD, FILE_PARAM } from './download.operation.js';
import { ACCEPTED_DRAFT, CANCELLED_DRAFT } from './openapi-examples-drafts.js';

const tag = 'Drafts';
const params = { id: 'drf' };
const HEADERS = ['Location', 'Preference-Applied', 'Idempotency-Replayed'] as const;

export const DRAFT_OPERATIONS = {
  create: {
    id: 'createDraft',
    tag,
    summary: 'Ask for a draft',
    description:
      'Answers as soon as the request is stored. The draft is then made by a worker; its end is told by webhook, by its event stream, or to whoever asks again. With `Prefer: wait=N` the answer waits for the end, at most N seconds and at most 30. A body that is sent inline is kept under its `ref`, so that erasing it erases the draft.',
    body: DRAFT_REQUEST_FORM,
    headers: ['Idempotency-Key', 'Prefer'],
    answers: {
      201: { says: 'It ended while you waited.', schema: DRAFT, headers: HEADERS },
      202: { says: 'It is accepted.', schema: DRAFT, example: ACCEPTED_DRAFT, headers: HEADERS },
    },
  },
  page: {
    id: 'listDrafts',
    tag,
    summary: 'List drafts, newest first',
    query: DRAFTS_QUERY,
    answers: { 200: { says: 'One page.', schema: DRAFT_PAGE } },
  },
  find: {
    id: 'getDraft',
    tag,
    summary: 'Look at a draft',
    params,
    answers: { 200: { says: 'The draft, with its findings once there are some.', schema: DRAFT } },
  },
  cancel: {
    id: 'cancelDraft',
    tag,
    summary: 'Cancel a draft',
    description:
      'Cancelling twice is one cancellation. A draft that has ended otherwise cannot be cancelled.',
    params,
    answers: { 200: { says: 'It is cancelled.', schema: DRAFT, example: CANCELLED_DRAFT } },
    problems: ['state-conflict'],
  },
  files: {
    id: 'listDraftFiles',
    tag,
    summary: 'List the files of a draft',
    params,
    answers: {
      200: { says: 'The files; none before the draft is ready or needs attention.', schema: DRAFT_FILES },
    },
    access: 'draft-token',
  },
  file: {
    id: 'getDraftFile',
    tag,
    summary: 'Download a file',
    ...DOWNLOAD,
    params: { ...params, ...FILE_PARAM },
    access: 'draft-token',
  },
  events: {
    id: 'followDraft',
    tag,
    summary: 'Follow a draft',
    description:
      'Server-sent events: `event: draft`, `id` the sequence, `data` a draft. The stream ends with the draft. A client that comes back with Last-Event-ID goes on from there.',
    params,
    headers: ['Last-Event-ID'],
    answers: {
      200: { says: 'The draft as it stands, and each time it has changed.', text: 'text/event-stream' },
      204: { says: 'It has ended and you have seen it; do not come back.' },
    },
  },
} as const satisfies Record<string, Operation>;
