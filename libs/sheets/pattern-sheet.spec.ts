import { describe, expect, it } from '@jest/globals';
import { pointAt } from '#geometry';
import { proofOf, SHAPES, type Shape } from '../../test/support/proof-examples.js';
import { cornersOf, overlappingTexts, textsOf } from '../../test/support/sheet-geometry.js';
import type { PathMark, Sheet } from './display-list.js';
import { patternSheet } from './pattern-sheet.js';
import { PLEX_WIDTHS } from './plex-widths.js';

const sheetOf = (shape: Shape, reference = 'order 1042 / line 7'): Sheet => {
  const { facts, after, provenance } = proofOf(shape, 0);
  return patternSheet({ facts: { ...facts, reference }, pieces: after, provenance }, PLEX_WIDTHS);
};

describe('patternSheet', () => {
  it('draws at true size: points of the worked example keep their distances', () => {
    const sheet = sheetOf(SHAPES['worked']);
    const [front] = pathsOf(sheet, 'front-seam-line');
    const [rise, inseam] = front.curves;
    // Front centre waist (79.2808, 1057.9919) to fork (272.2553, 600.5984).
    expect(inseam.p0.x - rise.p0.x).toBeCloseTo(272.2553 - 79.2808, 6);
    expect(inseam.p0.y - rise.p0.y).toBeCloseTo(600.5984 - 1057.9919, 6);
  });

  it('mirrors the back', () => {
    const [back] = pathsOf(sheetOf(SHAPES['worked']), 'back-seam-line');
    const [rise, inseam] = back.curves;
    expect(inseam.p0.x - rise.p0.x).toBeCloseTo(-(272.2553 - 32.3262), 3);
  });

  it('has a test square of 100 mm', () => {
    const [square] = pathsOf(sheetOf(SHAPES['worked']), 'test-square');
    const xs = square.curves.map((curve) => curve.p0.x);
    const ys = square.curves.map((curve) => curve.p0.y);
    expect(Math.max(...xs) - Math.min(...xs)).toBe(100);
    expect(Math.max(...ys) - Math.min(...ys)).toBe(100);
  });

  it.each(Object.entries(SHAPES))('keeps texts apart and everything on the page: %s', (_, shape) => {
    for (const reference of ['1', 'W'.repeat(64)]) {
      const sheet = sheetOf(shape, reference);
      expect(overlappingTexts(sheet)).toEqual([]);
      const paths = sheet.layers.flatMap(({ id }) => pathsOf(sheet, id)).flatMap((mark) => mark.curves);
      const points = paths.flatMap((curve) => [0, 0.25, 0.5, 0.75, 1].map((t) => pointAt(curve, t)));
      for (const { x, y } of [...points, ...textsOf(sheet).flatMap(cornersOf)]) {
        expect(x).toBeGreaterThanOrEqual(5);
        expect(y).toBeGreaterThanOrEqual(5);
        expect(x).toBeLessThanOrEqual(sheet.widthMm - 5);
        expect(y).toBeLessThanOrEqual(sheet.heightMm - 5);
      }
    }
  });

  it('has one layer per piece and kind, each id once', () => {
    const ids = sheetOf(SHAPES['worked']).layers.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids).toEqual(
      expect.arrayContaining(['front-seam-line', 'back-seam-line', 'front-notches', 'test-square']),
    );
  });

  it('says on both pieces what they are', () => {
    const sheet = sheetOf(SHAPES['worked']);
    for (const role of ['front', 'back']) {
      const texts = textsOf(sheet, `${role}-labels`).map((mark) => mark.text);
      expect(texts).toEqual(
        expect.arrayContaining(['cut 1 pair', 'seam line without allowance', 'order 1042 / line 7']),
      );
    }
  });
});

function pathsOf(sheet: Sheet, layerId: string): PathMark[] {
  const layer = sheet.layers.find(({ id }) => id === layerId);
  return (layer?.marks ?? []).filter((mark) => mark.kind === 'path');
}
