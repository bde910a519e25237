import {
  CHECK,
  CHECK_FILES,
  CHECK_ORDER,
  CHECK_PAGE,
  CHECK_UPLOAD,
  CHECKS_QUERY,
  COMPARISON,
  COMPARISON_QUERY,
  RULES_PROFILE,
  RULES_PROFILE_REQUEST,
  RULES_PROFILES,
} from '#contracts';
import type { Operation } from './describe.js';
import { DOWNLOAD, FILE_PARAM } from './download.operation.js';

const tag = 'Checks';
const params = { id: 'chk' };
const HEADERS = ['Location', 'Preference-Applied', 'Idempotency-Replayed'] as const;

export const CHECK_OPERATIONS = {
  create: {
    id: 'createCheck',
    tag,
    summary: 'Check a pattern from outside',
    description:
      'A DXF by ASTM D6673 or AAMA, as a form with a file or as text in JSON; or a block as JSON. In a form, `settings`, `seamPairs`, `correct` and `outputs` are JSON, the other parts are plain text. `gradeRules` is the text of the grade rule table that goes with the DXF, as text or as a file: it is compared with the pattern, and `settings.size` may name a size that only the table has. The check ends as `ready` when nothing that decides is off, as `needs_attention` when something is, or has to be asked. What the result lists under `corrections` is made by sending the pattern again with those codes in `correct`: `corrected.dxf` is then among the files, and the result is of that; the file as it came stays as `original.dxf`. `settings.seams` and `seamPairs` are taken together. The rules profile `shop` applies to every check, the one that `profile` names over it, and the tolerances of the request over both.',
    body: CHECK_ORDER,
    upload: CHECK_UPLOAD,
    headers: ['Idempotency-Key', 'Prefer'],
    answers: {
      201: { says: 'It ended while you waited.', schema: CHECK, headers: HEADERS },
      202: { says: 'It is accepted.', schema: CHECK, headers: HEADERS },
    },
  },
  page: {
    id: 'listChecks',
    tag,
    summary: 'List checks, newest first',
    query: CHECKS_QUERY,
    answers: { 200: { says: 'One page.', schema: CHECK_PAGE } },
  },
  find: {
    id: 'getCheck',
    tag,
    summary: 'Look at a check',
    params,
    answers: { 200: { says: 'The check, with its result once there is one.', schema: CHECK } },
  },
  cancel: {
    id: 'cancelCheck',
    tag,
    summary: 'Cancel a check',
    description: 'Cancelling twice is one cancellation.',
    params,
    answers: { 200: { says: 'It is cancelled.', schema: CHECK } },
    problems: ['state-conflict'],
  },
  compare: {
    id: 'compareChecks',
    tag,
    summary: 'Compare two versions of a pattern',
    description:
      'What came, went and changed since the check that `with` names. Front, back and waistband are known by being it, other pieces by their names. Numbers that differ by no more than 0.01 mm or degrees are alike.',
    params,
    query: COMPARISON_QUERY,
    answers: { 200: { says: 'What came, went and changed.', schema: COMPARISON } },
    problems: ['state-conflict'],
  },
  files: {
    id: 'listCheckFiles',
    tag,
    summary: 'List the files of a check',
    params,
    answers: { 200: { says: 'The files: the pattern as it came, and what was made.', schema: CHECK_FILES } },
  },
  file: {
    ...DOWNLOAD,
    id: 'getCheckFile',
    tag,
    summary: 'Download a file of a check',
    params: { ...params, ...FILE_PARAM },
  },
  events: {
    id: 'followCheck',
    tag,
    summary: 'Follow a check',
    description:
      'Server-sent events: `event: check`, `id` the sequence, `data` a check. The stream ends with the check. A client that comes back with Last-Event-ID goes on from there.',
    params,
    headers: ['Last-Event-ID'],
    answers: {
      200: { says: 'The check as it stands, and each time it has changed.', text: 'text/event-stream' },
      204: { says: 'It has ended and you have seen it; do not come back.' },
    },
  },
} as const satisfies Record<string, Operation>;

const name = { name: { type: 'string', pattern: '^[a-z0-9][a-z0-9-]{0,63}$' } };

export const RULES_OPERATIONS = {
  all: {
    id: 'listRulesProfiles',
    tag: 'Rules profiles',
    summary: 'List the rules profiles, by name',
    answers: { 200: { says: 'All of them.', schema: RULES_PROFILES } },
  },
  find: {
    id: 'getRulesProfile',
    tag: 'Rules profiles',
    summary: 'Look at a rules profile',
    params: name,
    answers: { 200: { says: 'The profile.', schema: RULES_PROFILE } },
  },
  put: {
    id: 'putRulesProfile',
    tag: 'Rules profiles',
    summary: 'Make or replace a rules profile',
    description:
      'The whole profile. The one named `shop` applies to every check of yours; any other, such as one for each customer, to the checks that name it, over that of the shop. `severities` and `ignore` take the codes that a check gives, as docs/checking.md lists them; another is refused with the nearest one. An entry of `ignore` whose last day is over ignores nothing, and is answered with `hasEnded`. Checks that were accepted keep the rules they were accepted under.',
    params: name,
    body: RULES_PROFILE_REQUEST,
    answers: { 200: { says: 'It is stored.', schema: RULES_PROFILE } },
    problems: ['state-conflict'],
  },
  remove: {
    id: 'deleteRulesProfile',
    tag: 'Rules profiles',
    summary: 'Remove a rules profile',
    description: 'Checks that were held to it keep what it said.',
    params: name,
    answers: { 204: { says: 'It is gone.' } },
  },
} as const satisfies Record<string, Operation>;
