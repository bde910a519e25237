import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { parseLength } from './length.js';

/** A ratio of whole numbers: the oracle counts in these and never rounds. */
interface Exact {
  readonly top: bigint;
  readonly bottom: bigint;
}

const UNITS = [
  { text: 'mm', perUnit: { top: 1n, bottom: 1n } },
  { text: 'cm', perUnit: { top: 10n, bottom: 1n } },
  { text: 'in', perUnit: { top: 254n, bottom: 10n } }, // the international inch, 1959
  { text: '"', perUnit: { top: 254n, bottom: 10n } },
];

const arbUnit = fc.constantFrom(...UNITS);
const arbGap = fc.constantFrom('', ' ', '  ');
const arbSign = fc.constantFrom('', '+', '-');

describe('parseLength', () => {
  it.each([
    ['28 cm', 280],
    ['11 1/4 in', 285.75],
    ['7/8 in', 22.225],
    ['285 mm', 285],
    ['11.25 in', 285.75],
    ['11 1/4"', 285.75],
    [' 1.05 m ', 1050],
    ['-20 mm', -20],
    ['9/16 in', 14.2875],
    ['3/4 IN', 19.05],
    ['.5 in', 12.7],
  ])('reads %s', (text, mm) => {
    expect(parseLength(text)).toEqual({ ok: true, mm });
  });

  it('takes a number as millimetres', () => {
    expect(parseLength(740.5)).toEqual({ ok: true, mm: 740.5 });
  });

  it('gives the double nearest to the exact length of a decimal', () => {
    const decimal = fc.tuple(fc.integer({ min: 0, max: 39_000 }), fc.stringMatching(/^\d{1,6}$/));
    fc.assert(
      fc.property(decimal, arbUnit, arbGap, arbSign, ([whole, decimals], unit, gap, sign) => {
        const value = { top: BigInt(`${whole}${decimals}`), bottom: 10n ** BigInt(decimals.length) };
        expectNearest(`${sign}${whole}.${decimals}${gap}${unit.text}`, sign, times(value, unit.perUnit));
      }),
    );
  });

  it('gives the double nearest to the exact length of a whole number and a fraction', () => {
    const fraction = fc
      .tuple(fc.integer({ min: 1, max: 9999 }), fc.nat())
      .map(([bottom, top]) => ({ bottom, top: top % bottom }));
    fc.assert(
      fc.property(
        fc.nat(39_000),
        fraction,
        arbUnit,
        arbGap,
        arbSign,
        (whole, { top, bottom }, unit, gap, sign) => {
          const value = { top: BigInt(whole) * BigInt(bottom) + BigInt(top), bottom: BigInt(bottom) };
          expectNearest(
            `${sign}${whole} ${top}/${bottom}${gap}${unit.text}`,
            sign,
            times(value, unit.perUnit),
          );
        },
      ),
    );
  });

  it.each([
    ['29', /no unit.*"29 in"/],
    ['', /empty/],
    ['abc', /not a length/],
    ['28,5 cm', /decimal point/],
    ['11-1/4 in', /write a space/],
    ['1/0 in', /over zero/],
    ['11 9/8 in', /not below one/],
    ['3 furlongs', /unit "furlongs"/],
    ['1e3 mm', /not a length/],
    ['NaN mm', /not a length/],
    ['12 constructor', /unit "constructor"/],
    ['9'.repeat(100_000), /too long/],
    ['1001 m', /beyond any length/],
    [1e308, /beyond any length/],
    [Number.NaN, /not a number/],
    [Number.POSITIVE_INFINITY, /beyond any length/],
    [null, /not a length/],
    [['28 cm'], /not a length/],
    [{ valueOf: 3 }, /not a length/],
  ])('refuses %p and says why', (found, words) => {
    expect(parseLength(found)).toEqual({ ok: false, error: expect.stringMatching(words) });
  });

  it('never throws, whatever it is given', () => {
    fc.assert(fc.property(fc.anything(), (found) => typeof parseLength(found).ok === 'boolean'));
  });
});

function times(a: Exact, b: Exact): Exact {
  return { top: a.top * b.top, bottom: a.bottom * b.bottom };
}

// No double lies nearer to the exact length than the one given: its two neighbours are tried.
function expectNearest(text: string, sign: string, magnitude: Exact): void {
  const parsed = parseLength(text);
  const exact = sign === '-' ? { ...magnitude, top: -magnitude.top } : magnitude;
  if (!parsed.ok) throw new Error(`${text} ${parsed.error}`);
  const error = apart(parsed.mm, exact);
  for (const neighbour of neighbours(parsed.mm)) expect(error <= apart(neighbour, exact)).toBe(true);
}

/** |x - exact| times a denominator that is the same for every x. */
function apart(x: number, exact: Exact): bigint {
  const difference = scaled(x) * exact.bottom - exact.top * SCALE;
  return difference < 0n ? -difference : difference;
}

const SCALE = 1n << 1074n;

/** x * 2^1074, exact for every finite double, read off its bits. */
function scaled(x: number): bigint {
  const bits = bitsOf(x);
  const exponent = (bits >> 52n) & 0x7ffn;
  const fraction = bits & 0xfffffffffffffn;
  const magnitude = exponent === 0n ? fraction : (fraction | (1n << 52n)) << (exponent - 1n);
  return bits >> 63n === 0n ? magnitude : -magnitude;
}

function neighbours(x: number): number[] {
  const bits = bitsOf(Math.abs(x));
  const sign = x < 0 ? -1 : 1;
  return [bits + 1n, bits === 0n ? 1n : bits - 1n].map((next) => sign * fromBits(next));
}

function bitsOf(x: number): bigint {
  return new BigUint64Array(new Float64Array([x]).buffer)[0];
}

function fromBits(bits: bigint): number {
  return new Float64Array(new BigUint64Array([bits]).buffer)[0];
}
