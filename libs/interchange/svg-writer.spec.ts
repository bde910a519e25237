import { Resvg } from '@resvg/resvg-js';
import fc from 'fast-check';
import { describe, expect, it } from '@jest/globals';
import { cubic, line } from '#geometry';
import { PLEX_WIDTHS, patternSheet, proofSheet, strokeMark, textMark, type Mark, type Sheet } from '#sheets';
import { proofOf, SHAPES } from '../../test/support/proof-examples.js';
import { writeSvg } from './svg-writer.js';

const sheetWith = (marks: readonly Mark[], title = 'a sheet'): Sheet => ({
  widthMm: 120,
  heightMm: 80,
  title,
  layers: [{ id: 'marks', marks }],
});
const PEN = { widthMm: 0.5, ink: 'black' } as const;
const STYLE = { sizeMm: 3, weight: 'regular' } as const;

const parse = (svg: string): Resvg => new Resvg(svg, { font: { loadSystemFonts: false } });

describe('writeSvg', () => {
  it('states size and viewBox in the same millimetres', () => {
    const svg = writeSvg(sheetWith([]));
    expect(svg).toContain('width="120mm" height="80mm" viewBox="0 0 120 80"');
  });

  it('turns y round: up on the sheet is up on the picture', () => {
    const svg = writeSvg(sheetWith([strokeMark([line({ x: 10, y: 20 }, { x: 10, y: 70 })], PEN)]));
    expect(svg).toContain('d="M10 60L10 10"');
  });

  it('keeps a chain of curves in one run and closes it where it returns', () => {
    const [a, b, c] = [
      { x: 0, y: 0 },
      { x: 10, y: 0 },
      { x: 5, y: 8 },
    ];
    const svg = writeSvg(
      sheetWith([strokeMark([line(a, b), cubic(b, b, c, c), line(c, a), line(b, c)], PEN)]),
    );
    expect(svg).toContain('d="M0 80L10 80C10 80 5 72 5 72L0 80ZM10 80L5 72"');
  });

  it('gives a viewer nothing to guess: every text has its length', () => {
    const svg = writeSvg(proofSheet(proofOf(SHAPES['worked'], 6), PLEX_WIDTHS));
    const texts = svg.match(/<text /g) ?? [];
    expect(texts.length).toBeGreaterThan(100);
    expect(svg.match(/<text [^>]*textLength="\d+(\.\d+)?"/g)).toHaveLength(texts.length);
    expect(svg).toContain(`font-family="'IBM Plex Sans', `);
  });

  it('writes each layer as one group with its id', () => {
    const { facts, after, provenance } = proofOf(SHAPES['worked'], 0);
    const svg = writeSvg(patternSheet({ facts, pieces: after, provenance }, PLEX_WIDTHS));
    for (const id of ['front-seam-line', 'back-seam-line', 'front-notches', 'test-square']) {
      expect(svg.split(`<g id="${id}">`)).toHaveLength(2);
    }
  });

  it('writes numbers with at most four decimals, no exponent and no minus zero', () => {
    const number = fc.double({ min: -2000, max: 2000, noNaN: true });
    const tiny = fc.constantFrom(-0, -1e-7, 1e-9, 1e-4, -0.00004999, 12.00001, 1200);
    const value = fc.oneof(number, tiny);
    fc.assert(
      fc.property(value, value, (x, y) => {
        const svg = writeSvg(sheetWith([strokeMark([line({ x, y: 80 - y }, { x: 1, y: 1 })], PEN)]));
        const [, first, second] = /d="M(\S+) (\S+)L/.exec(svg) ?? [];
        for (const [text, exact] of [
          [first, x],
          [second, y],
        ] as const) {
          expect(text).toMatch(/^(0|-?[1-9]\d*|-?\d+\.\d{0,3}[1-9])$/);
          expect(Math.abs(Number(text) - exact)).toBeLessThanOrEqual(0.5001e-4);
        }
      }),
    );
  });

  // The renderer's XML parser is strict: it refuses what is not well-formed.
  it('is well-formed whatever a reference holds', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 40 }), (text) => {
        const mark = textMark(text, STYLE, { at: { x: 5, y: 5 } }, PLEX_WIDTHS);
        expect(() => parse(writeSvg(sheetWith([mark], text)))).not.toThrow();
      }),
    );
    expect(() => parse('<svg xmlns="http://www.w3.org/2000/svg"><text>a & b</text></svg>')).toThrow();
  });

  it('keeps the words of a text', () => {
    const mark = textMark('5 < 6 & "7" > \u0007', STYLE, { at: { x: 5, y: 5 } }, PLEX_WIDTHS);
    expect(writeSvg(sheetWith([mark]))).toContain('>5 &lt; 6 &amp; &quot;7&quot; &gt; \ufffd</text>');
  });

  it('is the same each time', () => {
    const twice = [0, 1].map(() => writeSvg(proofSheet(proofOf(SHAPES['small'], 25), PLEX_WIDTHS)));
    expect(twice[0]).toBe(twice[1]);
  });
});
