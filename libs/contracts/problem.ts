import type { MeasureProblemCode } from '#measurements';
import type { RecipeProblemCode } from '#recipes';

export type ProblemCode =
  | MeasureProblemCode
  | RecipeProblemCode
  | 'NOT_JSON'
  | 'DUPLICATE_FIELD'
  | 'TOO_LARGE'
  | 'TOO_DEEP'
  | 'TOO_MANY'
  | 'TOO_FEW'
  | 'TEXT_TOO_LONG'
  | 'UNKNOWN_FIELD'
  | 'MISSING'
  | 'WRONG_TYPE'
  | 'NOT_A_LENGTH'
  | 'OUT_OF_RANGE'
  | 'NOT_ALLOWED'
  | 'NOT_AVAILABLE'
  | 'CONFLICT'
  | 'NOT_FOUND'
  | 'MORE_PROBLEMS';

/** What a field may be: a range, one of a list, or a form said in words. */
export type Allowed =
  | { readonly min?: number; readonly max?: number; readonly unit: string }
  | { readonly oneOf: readonly string[] }
  | { readonly form: string };

/**
 * One thing wrong with what was sent, for the person or program that sent it.
 *
 * `found`, `message` and `action` may repeat a body measure: they are answered to the sender and never logged.
 * A log may keep `pointer` and `code`.
 */
export interface Problem {
  /** RFC 6901 JSON pointer into what was sent; empty for the whole of it. */
  readonly pointer: string;
  readonly code: ProblemCode;
  readonly found: string;
  readonly allowed: Allowed;
  /** One sentence. */
  readonly message: string;
  /** What to do, as an instruction. */
  readonly action: string;
  /** Number of the step, when it is in one of a recipe; from 1 in reading order. */
  readonly step?: number;
  /** Place in the text of the field, when that is a formula; from 1. */
  readonly column?: number;
  /** Whether the form of a recipe alone shows it, without looking at what it means. */
  readonly ofTheForm?: true;
}

export type Parsed<T> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly problems: readonly Problem[] };

/** More than a person reads; an answer to hostile input stays small. */
const PROBLEMS_MAX = 100;

/** The problems themselves, or the first hundred and a last one that says how many more there are. */
export function atMost(problems: readonly Problem[]): Problem[] {
  if (problems.length <= PROBLEMS_MAX) return [...problems];
  const more = problems.length - PROBLEMS_MAX;
  return [
    ...problems.slice(0, PROBLEMS_MAX),
    {
      pointer: '',
      code: 'MORE_PROBLEMS',
      found: `${problems.length} problems`,
      allowed: { form: 'none' },
      message: `There are ${more} more problems.`,
      action: 'Mend those listed first and send again.',
    },
  ];
}

export function allowedInWords(allowed: Allowed): string {
  if ('form' in allowed) return allowed.form;
  if ('oneOf' in allowed) return allowed.oneOf.join(', ');
  const { min, max, unit } = allowed;
  const words = unit === '' ? '' : ` ${unit}`;
  if (min === undefined) return `at most ${max}${words}`;
  return max === undefined ? `at least ${min}${words}` : `${min} to ${max}${words}`;
}

/** Longest piece of a foreign text that is repeated in an answer. */
const QUOTE_LENGTH_MAX = 60;

/** What was found, short and on one line, however large or hostile it is. */
export function foundInWords(found: unknown): string {
  if (found === undefined) return 'nothing';
  if (typeof found === 'string') return quoted(found);
  if (Array.isArray(found)) return `a list of ${found.length}`;
  if (typeof found === 'number' || typeof found === 'boolean' || found === null) return String(found);
  return 'an object';
}

export function quoted(text: string): string {
  const short = text.length > QUOTE_LENGTH_MAX ? `${text.slice(0, QUOTE_LENGTH_MAX)}...` : text;
  return JSON.stringify(short);
}

/** An RFC 6901 pointer: "~" and "/" inside a name are escaped. */
export function pointerOf(path: readonly PropertyKey[]): string {
  return path.map((key) => `/${shortKey(key).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');
}

/** The same place as a person reads it: alterations[0].with.hemIn. */
export function placeInWords(path: readonly PropertyKey[]): string {
  const words = path.map((key) => (typeof key === 'number' ? `[${key}]` : `.${shortKey(key)}`)).join('');
  return words === '' ? 'The request' : words.replace(/^\./, '');
}

function shortKey(key: PropertyKey): string {
  const text = String(key);
  return text.length > QUOTE_LENGTH_MAX ? `${text.slice(0, QUOTE_LENGTH_MAX)}...` : text;
}
