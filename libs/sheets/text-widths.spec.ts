import fc from 'fast-check';
import { describe, expect, it } from '@jest/globals';
import { PLEX_WIDTHS } from './plex-widths.js';
import { textWidthMm, wrapText } from './text-widths.js';

const style = { sizeMm: 2.5, weight: 'regular' } as const;
const words = fc
  .array(fc.string({ minLength: 1, maxLength: 25 }), { maxLength: 20 })
  .map((list) => list.join(' '));

describe('wrapText', () => {
  it('keeps every word, in order', () => {
    fc.assert(
      fc.property(words, fc.double({ min: 8, max: 90, noNaN: true }), (text, widthMm) => {
        const glued = (value: string): string => value.replace(/\s+/g, '');
        expect(glued(wrapText(text, widthMm, style, PLEX_WIDTHS).join(''))).toBe(glued(text));
      }),
    );
  });

  it('makes no line longer than the room, and the first shorter by the indent', () => {
    fc.assert(
      fc.property(words, fc.double({ min: 8, max: 90, noNaN: true }), (text, widthMm) => {
        const [first, ...rest] = wrapText(text, widthMm, style, PLEX_WIDTHS, 6);
        expect(textWidthMm(first, style, PLEX_WIDTHS)).toBeLessThanOrEqual(Math.max(0, widthMm - 6));
        for (const row of rest) expect(textWidthMm(row, style, PLEX_WIDTHS)).toBeLessThanOrEqual(widthMm);
      }),
    );
  });

  it('gives one empty line for no text', () => {
    expect(wrapText('  ', 20, style, PLEX_WIDTHS)).toEqual(['']);
  });
});

describe('textWidthMm', () => {
  // Figures of Plex Sans are all 600 thousandths wide: its drawings are made for tables.
  it('gives every figure the same width', () => {
    for (const figure of '0123456789')
      expect(textWidthMm(figure, { ...style, sizeMm: 10 }, PLEX_WIDTHS)).toBeCloseTo(6, 9);
  });

  it('takes a character without a glyph as a full square', () => {
    expect(textWidthMm('\u5ba2', style, PLEX_WIDTHS)).toBeCloseTo(2.5, 9);
  });
});
