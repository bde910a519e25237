import { parseLength } from '#measurements';
import { z } from 'zod';
import { nearestName } from '#spelling';
import { allowedInWords, foundInWords, quoted, type Allowed, type ProblemCode } from './problem.js';
import { alternatives, formOf, lengthForm, type WireForm } from './wire-form.js';

/** What is wrong with one field, without its place: the place is put in front when problems are gathered. */
export interface Fault {
  readonly code: ProblemCode;
  readonly allowed: Allowed;
  /** The rest of a sentence that begins with the field: "is 300 mm, above 100 mm". */
  readonly says: string;
  readonly action: string;
}

export type Read<T> = { readonly value: T } | { readonly fault: Fault };

/**
 * A schema whose faults are our own words. Missing is a fault too; put `.optional()` behind it where it is not.
 *
 * `form` is the same said as JSON Schema, for the published description; it follows from `allowed` where that says all.
 */
export function field<T>(
  allowed: Allowed,
  read: (found: unknown) => Read<T>,
  form: WireForm = formOf(allowed),
) {
  const sent = z.unknown().meta(form);
  return sent.transform((found, context): T => {
    const result = found === undefined ? { fault: missing(allowed) } : read(found);
    if ('value' in result) return result.value;
    context.issues.push({ code: 'custom', input: found, params: { fault: result.fault } });
    return z.NEVER;
  });
}

/** The same field, with a sentence for the published description. */
export function said<Schema extends z.ZodType>(schema: Schema, description: string): Schema {
  return schema.meta({ description });
}

export function missing(allowed: Allowed): Fault {
  return { code: 'MISSING', allowed, says: 'is missing', action: `Add it: ${allowedInWords(allowed)}.` };
}

export function wrongType(found: unknown, allowed: Allowed): Fault {
  const words = allowedInWords(allowed);
  return {
    code: 'WRONG_TYPE',
    allowed,
    says: `is ${foundInWords(found)}, not ${words}`,
    action: `Send ${words}.`,
  };
}

interface Limits {
  readonly min: number;
  readonly max: number;
}

/** A length in mm, as a number of millimetres or as text with a unit. */
export function length(limits: Limits) {
  const allowed = { ...limits, unit: 'mm' };
  return field(allowed, (found) => readLength(found, allowed), lengthForm(limits));
}

export function readLength(found: unknown, allowed: Limits & { readonly unit: string }): Read<number> {
  const parsed = parseLength(found);
  const tooLarge = typeof found === 'number' && !parsed.ok;
  if (tooLarge || (parsed.ok && (parsed.mm < allowed.min || parsed.mm > allowed.max))) {
    return { fault: outOfRange(found, parsed.ok ? parsed.mm : (found as number), allowed) };
  }
  if (parsed.ok) return { value: parsed.mm };
  return {
    fault: {
      code: 'NOT_A_LENGTH',
      allowed,
      says: `is ${foundInWords(found)}, which ${parsed.error}`,
      action: parsed.action,
    },
  };
}

export function outOfRange(
  found: unknown,
  value: number,
  allowed: Limits & { readonly unit: string },
): Fault {
  const unit = allowed.unit === '' ? '' : ` ${allowed.unit}`;
  const asRead = typeof found === 'string' ? ` (${value}${unit})` : '';
  const side = value < allowed.min ? `below ${allowed.min}${unit}` : `above ${allowed.max}${unit}`;
  return {
    code: 'OUT_OF_RANGE',
    allowed,
    says: `is ${foundInWords(found)}${asRead}, ${side}`,
    action: `Send ${allowedInWords(allowed)}.`,
  };
}

/** A plain number, for coordinates: no units, no text. */
export function number(limits: Limits & { readonly unit: string }) {
  const form = { type: 'number', minimum: limits.min, maximum: limits.max };
  return field(
    limits,
    (found): Read<number> => {
      if (typeof found !== 'number') return { fault: wrongType(found, { form: 'a number' }) };
      if (!(found >= limits.min && found <= limits.max)) return { fault: outOfRange(found, found, limits) };
      // Adding zero makes a minus zero plain: it means the same and must hash the same.
      return { value: found + 0 };
    },
    form,
  );
}

/** A whole number from 0: the place of something in a list. */
export function index(max: number) {
  return whole({ min: 0, max, unit: '' });
}

/** A whole number: a count, or seconds. */
export function whole(allowed: Limits & { readonly unit: string }, says: WireForm = {}) {
  const { min, max } = allowed;
  return field(
    allowed,
    (found): Read<number> => {
      if (typeof found !== 'number' || !Number.isInteger(found))
        return { fault: wrongType(found, { form: 'a whole number' }) };
      return found >= min && found <= max
        ? { value: found + 0 }
        : { fault: outOfRange(found, found, allowed) };
    },
    { type: 'integer', minimum: min, maximum: max, ...says },
  );
}

/** One of a list of words. */
export function oneOf<const Name extends string>(names: readonly Name[]) {
  const allowed = { oneOf: names };
  return field(allowed, (found): Read<Name> => {
    const name = names.find((candidate) => candidate === found);
    return name === undefined ? { fault: notOneOf(found, names) } : { value: name };
  });
}

export function notOneOf(found: unknown, names: readonly string[]): Fault {
  const near = typeof found === 'string' ? nearestName(found, names) : undefined;
  const list = names.map((name) => `"${name}"`).join(', ');
  return {
    code: 'NOT_ALLOWED',
    allowed: { oneOf: names },
    // The list is said once: in what to do, unless that is better said by one word of it.
    says: `is ${foundInWords(found)}, which is not ${near === undefined ? 'known here' : `one of ${list}`}`,
    action: near === undefined ? `Send one of ${list}.` : `Did you mean "${near}"?`,
  };
}

/** Text that ends up in files and on drawings: one line, of bounded length, not empty. */
export function line(lengthMax: number) {
  const allowed = { form: `text of 1 to ${lengthMax} characters on one line` };
  const form = { type: 'string', minLength: 1, maxLength: lengthMax };
  return field(
    allowed,
    (found): Read<string> => {
      if (typeof found !== 'string') return { fault: wrongType(found, allowed) };
      const fault = lineFault(found, lengthMax);
      if (fault === undefined) return { value: found };
      return { fault: { allowed, ...fault, action: `Send ${allowed.form}.` } };
    },
    form,
  );
}

function lineFault(text: string, lengthMax: number): Pick<Fault, 'code' | 'says'> | undefined {
  if (text.trim() === '') return { code: 'NOT_ALLOWED', says: 'is empty' };
  if (text.length > lengthMax)
    return { code: 'TEXT_TOO_LONG', says: `has ${text.length} characters, above ${lengthMax}` };
  // Neither XML nor a label can hold these.
  if (/[\p{Cc}\p{Cs}\u2028\u2029\uFFFE\uFFFF]/u.test(text))
    return {
      code: 'NOT_ALLOWED',
      says: `is ${quoted(text)}, which holds a control character or a line break`,
    };
  return undefined;
}

/** A day that exists. */
export const DATE = field(
  { form: 'a date as YYYY-MM-DD' },
  (found): Read<string> => {
    const form = 'a date as YYYY-MM-DD';
    if (typeof found !== 'string') return { fault: wrongType(found, { form }) };
    if (isDate(found)) return { value: found };
    const says = `is ${foundInWords(found)}, which is not ${form}`;
    return {
      fault: {
        code: 'NOT_ALLOWED',
        allowed: { form },
        says,
        action: 'Send a day that exists, like "2026-03-31".',
      },
    };
  },
  { type: 'string', format: 'date' },
);

const DAYS_OF_MONTH = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

function isDate(text: string): boolean {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text);
  if (match === null) return false;
  const [year, month, day] = match.slice(1).map(Number);
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  const days = month === 2 && isLeap ? 29 : DAYS_OF_MONTH[month - 1];
  return days !== undefined && day >= 1 && day <= days;
}

/** Something the contract knows and this version cannot do. Said aloud, because ignoring it would be a wrong answer. */
export function notAvailable(says: string, action: string): Fault {
  return { code: 'NOT_AVAILABLE', allowed: { form: 'not available in this version' }, says, action };
}

/** A value that is well formed and cannot be meant. */
export function notAllowed(form: string, says: string, action: string): Fault {
  return { code: 'NOT_ALLOWED', allowed: { form }, says, action };
}

/** An object with these fields and no other. */
export function fields<Shape extends z.ZodRawShape>(shape: Shape) {
  const names: FieldNames = {
    needed: Object.keys(shape).filter((name) => !(shape[name] instanceof z.ZodOptional)),
    optional: Object.keys(shape).filter((name) => shape[name] instanceof z.ZodOptional),
  };
  // zod hands a message of ours through untouched; ours carries the known names to where problems are worded.
  const message = JSON.stringify(names);
  return z.strictObject(shape, { error: () => message });
}

/** The names an object of the contract may have. */
export interface FieldNames {
  readonly needed: readonly string[];
  readonly optional: readonly string[];
}

/** A list of at most so many; a longer one is not looked into. */
export function list<Item extends z.ZodType>(item: Item, lengthMax: number) {
  return z.array(item, { error: () => `a list of at most ${lengthMax}` }).max(lengthMax);
}

/**
 * A schema chosen by what was found, so that only the faults of the kind that was meant are reported.
 *
 * `kinds` are all that may be chosen, for the published description.
 */
export function either<T>(choose: (found: unknown) => z.ZodType<T>, kinds: readonly z.ZodType[]) {
  return alternatives(kinds).transform((found, context): T => {
    const result = choose(found).safeParse(found);
    if (result.success) return result.data;
    context.issues.push(...(result.error.issues as z.core.$ZodRawIssue[]));
    return z.NEVER;
  });
}
