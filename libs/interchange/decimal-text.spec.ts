import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { decimalText, fixedText } from './decimal-text.js';

// The judge is the engine's own conversion, which this one is a faster form of.
describe('decimalText', () => {
  it('reads back as the nearest ten thousandth, in plain digits', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), (value) => {
        const text = decimalText(value);
        expect(text).toMatch(/^(-?[1-9]\d*|-?0(?=\.)|0)(\.\d{0,3}[1-9])?$/);
        expect(Math.abs(Number(text) - value)).toBeLessThan(0.5e-4 + 1e-9);
      }),
    );
  });

  it.each([
    [0, '0'],
    [-0, '0'],
    [-0.00004, '0'],
    [0.0001, '0.0001'],
    [-0.5, '-0.5'],
    [1.00001, '1'],
    [99.99996, '100'],
    [297, '297'],
    [2.30000001, '2.3'],
    [1e-9, '0'],
  ])('writes %d as %s', (value, text) => {
    expect(decimalText(value)).toBe(text);
  });
});

describe('fixedText', () => {
  it('has as many decimals as asked, and the same digits as toFixed off its halves', () => {
    fc.assert(
      fc.property(fc.integer({ min: -1e8, max: 1e8 }), fc.integer({ min: 1, max: 4 }), (n, decimals) => {
        // A third of the last digit off: nowhere near a half.
        const value = (n + 0.3 * Math.sign(n)) / 10 ** decimals;
        expect(fixedText(value, decimals)).toBe(value.toFixed(decimals).replace(/^-(0\.0+)$/, '$1'));
      }),
    );
  });
});
