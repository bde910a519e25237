import { parseLength } from '#measurements';
import { FORMULA_LENGTH_MAX, FORMULA_WORDS, type FormulaProblem, type NumberNode } from './formula.js';

export type Token =
  | NumberNode
  | { readonly kind: 'word'; readonly value: string; readonly column: number }
  | { readonly kind: 'name'; readonly name: string; readonly column: number }
  /** An operator, a bracket, a comma, or a word of the language such as `and`. */
  | { readonly kind: 'sign'; readonly sign: string; readonly column: number };

export type Tokens =
  | { readonly ok: true; readonly tokens: readonly Token[] }
  | { readonly ok: false; readonly problem: FormulaProblem };

// A whole number and a fraction, a fraction alone, or a decimal number, and its unit. A fraction needs its unit: without
// one `3/4` is a division, which is the same number.
const NUMBER = /(?:(?:\d{1,7} +)?\d{1,4}\/\d{1,4}(?= *(?:in\b|inch\b|inches\b|"))|\d+(?:\.\d+)?|\.\d+)/y;
const UNIT = / *(mm|cm|m|inches|inch|in|deg)\b| *(["%])/y;
const NAME = /[A-Za-z][A-Za-z0-9]*(?:\.[A-Za-z][A-Za-z0-9]*)*/y;
const WORD = /'([A-Za-z][A-Za-z0-9-]{0,63})'/y;
const SIGN = /<=|>=|!=|[-+*/(),<>=]/y;
const SPACE = /[ \t]+/y;

/** More digits than any amount has; beyond them a number is a slip or an attack. */
const DIGITS_BEFORE_MAX = 7;
const DIGITS_AFTER_MAX = 9;
const NAME_LENGTH_MAX = 64;

/** Cut a text into numbers with their units, names, words and signs; or the first place where that fails. */
export function tokensOf(text: string): Tokens {
  if (text.length > FORMULA_LENGTH_MAX) {
    return no(
      'FORMULA_TOO_LARGE',
      FORMULA_LENGTH_MAX + 1,
      `The formula has ${text.length} characters; at most ${FORMULA_LENGTH_MAX} are read.`,
      'Give its parts names of their own, one after the other.',
    );
  }
  const tokens: Token[] = [];
  let at = 0;
  // Each turn takes at least one character or ends.
  while (at < text.length) {
    const space = match(SPACE, text, at);
    if (space !== undefined) {
      at += space[0].length;
      continue;
    }
    const read = tokenAt(text, at);
    if ('problem' in read) return { ok: false, problem: read.problem };
    tokens.push(read.token);
    at = read.end;
  }
  return { ok: true, tokens };
}

type TokenRead = { readonly token: Token; readonly end: number } | { readonly problem: FormulaProblem };

function tokenAt(text: string, at: number): TokenRead {
  const column = at + 1;
  const number = match(NUMBER, text, at);
  if (number !== undefined) return numberAt(text, at, number[0]);
  const name = match(NAME, text, at);
  if (name !== undefined) return nameAt(name[0], at);
  const word = match(WORD, text, at);
  if (word !== undefined)
    return { token: { kind: 'word', value: word[1], column }, end: at + word[0].length };
  const sign = match(SIGN, text, at);
  if (sign !== undefined) return { token: { kind: 'sign', sign: sign[0], column }, end: at + sign[0].length };
  return { problem: strange(text, at) };
}

function nameAt(name: string, at: number): TokenRead {
  const column = at + 1;
  if (name.length > NAME_LENGTH_MAX) {
    const message = `A name has ${name.length} letters; at most ${NAME_LENGTH_MAX} are read.`;
    return no('FORMULA_TOO_LARGE', column, message, 'Choose a shorter name.');
  }
  const end = at + name.length;
  if (FORMULA_WORDS.has(name)) return { token: { kind: 'sign', sign: name, column }, end };
  return { token: { kind: 'name', name, column }, end };
}

function numberAt(text: string, at: number, digits: string): TokenRead {
  const column = at + 1;
  const unitMatch = match(UNIT, text, at + digits.length);
  const unit = unitMatch === undefined ? undefined : (unitMatch[1] ?? unitMatch[2]);
  const end = at + digits.length + (unitMatch?.[0].length ?? 0);
  const stuck = match(NAME, text, end);
  if (stuck !== undefined && (unit === undefined || unit === '"' || unit === '%')) {
    return no(
      'NOT_A_FORMULA',
      end + 1,
      `"${stuck[0].slice(0, 20)}" stands right behind the number ${digits.slice(0, 20)}, and is no unit.`,
      'Write mm, cm, m, in, deg or % behind a number, or a * between a number and a name; powers of ten are written out.',
    );
  }
  const [before, after = ''] = digits.split('.');
  const isFraction = digits.includes('/');
  if (!isFraction && (before.length > DIGITS_BEFORE_MAX || after.length > DIGITS_AFTER_MAX)) {
    const message = `The number ${digits.slice(0, 20)}... has too many digits.`;
    const action = `At most ${DIGITS_BEFORE_MAX} digits before the point and ${DIGITS_AFTER_MAX} behind it are read.`;
    return no('FORMULA_TOO_LARGE', column, message, action);
  }
  return valueOf(digits, unit, column, end);
}

function valueOf(digits: string, unit: string | undefined, column: number, end: number): TokenRead {
  const token = (value: number, quantity: NumberNode['quantity']): TokenRead => ({
    token: { kind: 'number', value, quantity, column },
    end,
  });
  if (unit === undefined) return token(Number(digits), 'ratio');
  if (unit === '%') return token(Number(digits) / 100, 'ratio');
  if (unit === 'deg') return token((Number(digits) * Math.PI) / 180, 'angle');
  const length = parseLength(`${lengthDigits(digits)} ${unit}`);
  if (length.ok) return token(length.mm, 'length');
  const shown = `${digits} ${unit}`;
  return no(
    'NOT_A_FORMULA',
    column,
    `"${shown}" ${length.error}.`,
    'Write a length as in "12 mm", "2.5 cm" or "1 1/2 in".',
  );
}

// A length as it is sent has at most six decimals; a formula may carry more, which no shears can follow.
function lengthDigits(digits: string): string {
  const [before, after] = digits.split('.');
  return after === undefined ? before : `${before === '' ? '0' : before}.${after.slice(0, 6)}`;
}

function strange(text: string, at: number): FormulaProblem {
  const letter = String.fromCodePoint(text.codePointAt(at) ?? 0);
  const shown = JSON.stringify(letter);
  const action =
    ACTIONS.get(letter) ?? 'Take it out; a formula has numbers with units, names, + - * / and functions.';
  return { code: 'NOT_A_FORMULA', column: at + 1, message: `${shown} means nothing in a formula.`, action };
}

const ACTIONS: ReadonlyMap<string, string> = new Map([
  ['^', 'Write a product, as in "a * a", or sqrt(a).'],
  ['&', 'Write "and".'],
  ['|', 'Write "or".'],
  ['!', 'Write "not", or "!=" between two values.'],
  ['?', 'Write if(condition, value, otherwise).'],
  ['"', "Write a word in single quotes, as in 'restore'."],
  ["'", "Write a word of letters and dashes between single quotes, as in 'restore'."],
  ['×', 'Write *.'],
  ['÷', 'Write /.'],
  ['°', 'Write deg.'],
  ['−', 'Write -.'],
]);

function match(pattern: RegExp, text: string, at: number): RegExpExecArray | undefined {
  pattern.lastIndex = at;
  return pattern.exec(text) ?? undefined;
}

function no(
  code: FormulaProblem['code'],
  column: number,
  message: string,
  action: string,
): { readonly ok: false; readonly problem: FormulaProblem } {
  return { ok: false, problem: { code, column, message, action } };
}
