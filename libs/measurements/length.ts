export type ParsedLength =
  { readonly ok: true; readonly mm: number } | { readonly ok: false; readonly error: string };

/** Millimetres in one of each unit, as a ratio of whole numbers, so that nothing is rounded on the way. */
const UNITS: ReadonlyMap<string, Ratio> = new Map([
  ['mm', { numerator: 1, denominator: 1 }],
  ['cm', { numerator: 10, denominator: 1 }],
  ['m', { numerator: 1000, denominator: 1 }],
  ...['in', 'inch', 'inches', '"'].map((name): [string, Ratio] => [name, { numerator: 127, denominator: 5 }]),
]);

interface Ratio {
  readonly numerator: number;
  readonly denominator: number;
}

/** Longer than a bolt of cloth; beyond it a number is a slip and not a length. */
const LENGTH_MM_MAX = 1_000_000;

/** Digits kept small enough that numerator and denominator stay whole numbers a double holds exactly. */
const LENGTH_TEXT =
  /^([+-]?)(?:(\d{1,7}(?:\.\d{1,6})?|\.\d{1,6})|(?:(\d{1,7}) +)?(\d{1,4})\/(\d{1,4})) *([a-z"]+)$/i;

/** What a person may have typed at most; a longer text is not a length and is not searched. */
const TEXT_LENGTH_MAX = 40;

const HOW_TO_WRITE =
  'write a number of millimetres, or text with a unit such as "28 cm", "11 1/4 in", "285 mm"';

/**
 * Read a length as a person or a program sends it.
 *
 * Shape      a number is millimetres. Text is a whole or decimal number, a fraction, or a whole number and a
 *            fraction, then mm, cm, m, in, inch, inches or `"`. A sign may stand in front.
 * Units      millimetres out; 1 in = 25.4 mm exactly (the international inch of 1959).
 * Accuracy   text is read as a ratio of whole numbers and rounded once, so the result is the double nearest to
 *            the exact length: "7/8 in" is 22.225 and not a neighbour of it.
 * Errors     values, never throws: what is wrong and how to write it, as the end of a sentence about the field.
 *            A text without a unit is refused, because "29" may be inches, and nothing is converted on a guess.
 *
 * @example
 * parseLength('11 1/4 in'); // { ok: true, mm: 285.75 }
 */
export function parseLength(found: unknown): ParsedLength {
  if (typeof found === 'number') return withinReach(found);
  if (typeof found !== 'string') return no(`is not a length: ${HOW_TO_WRITE}`);
  const text = found.trim();
  if (text === '') return no(`is empty: ${HOW_TO_WRITE}`);
  if (text.length > TEXT_LENGTH_MAX) return no(`is too long for a length: ${HOW_TO_WRITE}`);
  const match = LENGTH_TEXT.exec(text);
  if (match === null) return no(whyNot(text));
  const unit = UNITS.get(match[6].toLowerCase());
  if (unit === undefined)
    return no(`has the unit "${match[6]}", which is not known: use mm, cm, m, in or " for inches`);
  const ratio = ratioOf(match);
  if (typeof ratio === 'string') return no(ratio);
  const sign = match[1] === '-' ? -1 : 1;
  // Adding zero turns "-0 mm" into plain zero, which compares and prints like one.
  return withinReach((sign * ratio.numerator * unit.numerator) / (ratio.denominator * unit.denominator) + 0);
}

function ratioOf(match: RegExpExecArray): Ratio | string {
  const [, , decimal, wholeBefore, top, bottom] = match;
  if (decimal !== undefined) {
    const [whole, decimals = ''] = decimal.split('.');
    return { numerator: Number(whole + decimals), denominator: 10 ** decimals.length };
  }
  const numerator = Number(top);
  const denominator = Number(bottom);
  if (denominator === 0) return 'has a fraction over zero';
  if (wholeBefore === undefined) return { numerator, denominator };
  if (numerator >= denominator)
    return `has the fraction ${top}/${bottom} after a whole number, which is not below one`;
  return { numerator: Number(wholeBefore) * denominator + numerator, denominator };
}

function withinReach(mm: number): ParsedLength {
  if (Number.isNaN(mm)) return no('is not a number');
  if (Math.abs(mm) > LENGTH_MM_MAX) return no('is beyond any length of a pattern (1 km)');
  return { ok: true, mm };
}

function whyNot(text: string): string {
  if (/^[+-]?(\d+\.?\d*|\.\d+)$/.test(text)) {
    return `has no unit: send the number ${text} for millimetres, or add the unit, as in "${text} mm" or "${text} in"`;
  }
  if (/\d,\d/.test(text)) return `has a comma in the number: write the decimal point, as in "28.5 cm"`;
  if (/\d-\d/.test(text)) return `has a dash in the number: write a space, as in "11 1/4 in"`;
  return `is not a length: ${HOW_TO_WRITE}`;
}

function no(error: string): ParsedLength {
  return { ok: false, error };
}
