import { z } from 'zod';
import { field, fields, line, list, oneOf, outOfRange, wrongType, type Read } from './field.js';
import { issuesToProblems } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, type Parsed } from './problem.js';
import { PAGE_LIMIT_MAX } from './response-parts.js';
import { DRAFT_STATES } from './draft-responses.js';
import { DELIVERY_STATES, EVENT_TYPES } from './outward-responses.js';
import { idForm } from './wire-form.js';

const CURSOR_LENGTH_MAX = 200;
const URL_LENGTH_MAX = 2_048;

/** Highest version number that is looked for: what PostgreSQL's integer holds. */
const VERSION_MAX = 2_147_483_647;

/** A whole number, which a query writes as text. */
const LIMIT = field(
  { min: 1, max: PAGE_LIMIT_MAX, unit: '' },
  (found): Read<number> => {
    const value = typeof found === 'string' && /^\d{1,6}$/.test(found) ? Number(found) : found;
    const allowed = { min: 1, max: PAGE_LIMIT_MAX, unit: '' };
    if (typeof value !== 'number' || !Number.isInteger(value))
      return { fault: wrongType(found, { form: `a whole number, 1 to ${PAGE_LIMIT_MAX}` }) };
    return value >= 1 && value <= PAGE_LIMIT_MAX ? { value } : { fault: outOfRange(found, value, allowed) };
  },
  { type: 'integer', minimum: 1, maximum: PAGE_LIMIT_MAX },
);

export function idOf(prefix: string, what: string) {
  const allowed = { form: `the id of ${what}, like ${prefix}_01J...` };
  const form = idForm(prefix);
  const pattern = new RegExp(form['pattern'] as string);
  return field(
    allowed,
    (found): Read<string> =>
      typeof found === 'string' && pattern.test(found)
        ? { value: found }
        : { fault: wrongType(found, allowed) },
    form,
  );
}

const PAGE = { limit: LIMIT.optional(), cursor: line(CURSOR_LENGTH_MAX).optional() };

export const PAGE_QUERY = fields(PAGE);
export const BODIES_QUERY = fields({ ...PAGE, ref: line(64).optional() });
export const DRAFTS_QUERY = fields({
  ...PAGE,
  state: oneOf(DRAFT_STATES).optional(),
  reference: line(64).optional(),
  bodyId: idOf('bdy', 'a body').optional(),
});
export const DELIVERIES_QUERY = fields({
  ...PAGE,
  state: oneOf(DELIVERY_STATES).optional(),
  endpointId: idOf('whe', 'a webhook endpoint').optional(),
  draftId: idOf('drf', 'a draft').optional(),
  markerId: idOf('mrk', 'a marker').optional(),
  checkId: idOf('chk', 'a check').optional(),
});
export const CHECKS_QUERY = fields({
  ...PAGE,
  state: oneOf(DRAFT_STATES).optional(),
  reference: line(64).optional(),
  styleId: line(64).optional(),
  versionId: line(64).optional(),
});
export const COMPARISON_QUERY = fields({ with: idOf('chk', 'a check') });
export const MARKERS_QUERY = fields({
  ...PAGE,
  state: oneOf(DRAFT_STATES).optional(),
  reference: line(64).optional(),
});

/** A version number, which a query writes as text. */
const VERSION = field(
  { min: 1, max: VERSION_MAX, unit: '' },
  (found): Read<number> => {
    const value = typeof found === 'string' && /^\d{1,10}$/.test(found) ? Number(found) : found;
    if (typeof value !== 'number' || !Number.isInteger(value))
      return { fault: wrongType(found, { form: 'the number of a version' }) };
    const allowed = { min: 1, max: VERSION_MAX, unit: '' };
    return value >= 1 && value <= VERSION_MAX ? { value } : { fault: outOfRange(found, value, allowed) };
  },
  { type: 'integer', minimum: 1, maximum: VERSION_MAX },
);

export const READING_QUERY = fields({ version: VERSION.optional() });
export const DIFFERENCE_QUERY = fields({ from: VERSION, to: VERSION });

const URL_TEXT = field(
  { form: 'an https URL' },
  (found): Read<string> =>
    typeof found === 'string' ? { value: found } : { fault: wrongType(found, { form: 'an https URL' }) },
  { type: 'string', format: 'uri', maxLength: URL_LENGTH_MAX },
);
const EVENTS = list(oneOf(EVENT_TYPES), 20);
const ENABLED = field(
  { form: 'true' },
  (found): Read<true> => (found === true ? { value: found } : { fault: wrongType(found, { form: 'true' }) }),
  { const: true },
);

export const WEBHOOK_ENDPOINT_REQUEST = fields({ url: URL_TEXT, eventTypes: EVENTS.optional() }).meta({
  id: 'WebhookEndpointRequest',
});
export const WEBHOOK_ENDPOINT_CHANGE = fields({
  url: URL_TEXT.optional(),
  eventTypes: EVENTS.optional(),
  enabled: ENABLED.optional(),
}).meta({ id: 'WebhookEndpointChange' });

/** Read a value by one of the schemas above: the value, or every problem at once. */
export function readWith<Schema extends z.ZodType>(schema: Schema, json: unknown): Parsed<z.output<Schema>> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = schema.safeParse(json);
  return parsed.success
    ? { ok: true, value: parsed.data }
    : { ok: false, problems: atMost(issuesToProblems(parsed.error.issues, json)) };
}
