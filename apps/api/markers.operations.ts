import { MARKER, MARKER_FILES, MARKER_ORDER, MARKER_PAGE, MARKERS_QUERY } from '#contracts';
import type { Operation } from './describe.js';
import { DOWNLOAD, FILE_PARAM } from './download.operation.js';

const tag = 'Markers';
const params = { id: 'mrk' };
const HEADERS = ['Location', 'Preference-Applied', 'Idempotency-Replayed'] as const;

export const MARKER_OPERATIONS = {
  create: {
    id: 'createMarker',
    tag,
    summary: 'Lay drafts on cloth',
    description:
      'Ready drafts with quantities and the cloths there are. A worker searches for as many `seconds` as are asked, ten when nothing is, or makes `work` moves a piece, which gives the same marker each time. Its end is told by webhook, by its event stream, or to whoever asks again; with `Prefer: wait=N` the answer waits, at most 30 seconds. A marker that does not pass the certificate is never published.',
    body: MARKER_ORDER,
    headers: ['Idempotency-Key', 'Prefer'],
    answers: {
      201: { says: 'It ended while you waited.', schema: MARKER, headers: HEADERS },
      202: { says: 'It is accepted.', schema: MARKER, headers: HEADERS },
    },
  },
  page: {
    id: 'listMarkers',
    tag,
    summary: 'List markers, newest first',
    query: MARKERS_QUERY,
    answers: { 200: { says: 'One page.', schema: MARKER_PAGE } },
  },
  find: {
    id: 'getMarker',
    tag,
    summary: 'Look at a marker',
    params,
    answers: { 200: { says: 'The marker, with its figures once there are some.', schema: MARKER } },
  },
  cancel: {
    id: 'cancelMarker',
    tag,
    summary: 'End the search for a marker',
    description:
      'The shortest certified marker so far is kept, with its files; one that nobody has begun is cancelled without. The answer waits a moment for the end; if it still says `working`, the end is on its way. Cancelling twice is one cancellation.',
    params,
    answers: { 200: { says: 'It is cancelled, or about to be.', schema: MARKER } },
    problems: ['state-conflict'],
  },
  files: {
    id: 'listMarkerFiles',
    tag,
    summary: 'List the files of a marker',
    params,
    answers: { 200: { says: 'The files; none before it has a result.', schema: MARKER_FILES } },
  },
  file: {
    ...DOWNLOAD,
    id: 'getMarkerFile',
    tag,
    summary: 'Download a file of a marker',
    params: { ...params, ...FILE_PARAM },
  },
  events: {
    id: 'followMarker',
    tag,
    summary: 'Follow a marker',
    description:
      'Server-sent events: `event: marker`, `id` the sequence, `data` a marker. The stream ends with the marker. A client that comes back with Last-Event-ID goes on from there.',
    params,
    headers: ['Last-Event-ID'],
    answers: {
      200: { says: 'The marker as it stands, and each time it has changed.', text: 'text/event-stream' },
      204: { says: 'It has ended and you have seen it; do not come back.' },
    },
  },
} as const satisfies Record<string, Operation>;
