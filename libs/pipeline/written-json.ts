/** Written coordinates and lengths are rounded to this many decimals of a millimetre. */
const DECIMALS = 6;
const FACTOR = 10 ** DECIMALS;

/**
 * The text of a result file: numbers rounded to 1e-6, keys in the order given, lists of numbers on one line.
 *
 * The same value gives the same bytes. Undefined members are left out; a number that is not finite is a bug of
 * the engine and throws.
 */
export function writtenJson(value: unknown): string {
  const text = JSON.stringify(
    value,
    (_key, member: unknown) => (typeof member === 'number' ? written(member) : member),
    1,
  );
  return `${withShortLists(text)}\n`;
}

function written(value: number): number {
  if (!Number.isFinite(value)) throw new Error('a result holds a number that is not finite');
  const rounded = Math.round(value * FACTOR) / FACTOR;
  return rounded === 0 ? 0 : rounded;
}

// A point is easier to read on one line than on four, and a curve on one than on sixteen.
function withShortLists(text: string): string {
  const numbers = /\[\s*(-?[\d.e+-]+(?:,\s*-?[\d.e+-]+)*)\s*\]/g;
  const points = /\[\s*(\[[\d.e+\-, ]+\](?:,\s*\[[\d.e+\-, ]+\])*)\s*\]/g;
  const onOneLine = (_match: string, inner: string): string => `[${inner.replace(/\s*\n\s*/g, ' ')}]`;
  return text.replace(numbers, onOneLine).replace(points, onOneLine);
}
