import fc from 'fast-check';
import { describe, expect, it } from '@jest/globals';
import { pointAt, type Point } from '#geometry';
import { piecesOf, proofOf, SHAPES, type Shape } from '../../test/support/proof-examples.js';
import { cornersOf, overlappingTexts, textsAt, textsOf } from '../../test/support/sheet-geometry.js';
import type { PathMark, Sheet } from './display-list.js';
import { PLEX_WIDTHS } from './plex-widths.js';
import type { AddedRow, ProofContent } from './proof-content.js';
import { proofSheet } from './proof-sheet.js';

const sheetOf = (content: ProofContent): Sheet => proofSheet(content, PLEX_WIDTHS);

/** Nothing stands nearer to the edge of the paper: office printers leave up to 5 mm unprinted. */
const MARGIN_MM = 6;

describe('layout of the proof sheet', () => {
  const cases = Object.entries(SHAPES).flatMap(([name, shape]) =>
    [0, 6, 25].map((count): [string, number, Shape] => [name, count, shape]),
  );

  describe.each(cases)('%s, %i findings', (_, count, shape) => {
    const sheet = sheetOf(proofOf(shape, count));

    it('keeps every text clear of every other', () => {
      expect(overlappingTexts(sheet)).toEqual([]);
    });

    it('keeps every text and line on the paper', () => {
      expectOnPaper(sheet);
    });

    it('lets no seam line run through a text', () => {
      expect(textsOnSeams(sheet)).toEqual([]);
    });

    it('draws only signs that the list has, with the same shape', () => {
      const listed = new Map(signsOf(sheet, 'tables'));
      expect(listed.size).toBeGreaterThanOrEqual(Math.min(count, 10));
      for (const [number, corners] of signsOf(sheet, 'findings')) expect(listed.get(number)).toBe(corners);
    });

    it('labels every seam of both pieces', () => {
      const labels = textsOf(sheet, 'labels').map((mark) => mark.text);
      for (const seam of ['front rise', 'back rise', 'inseam', 'outseam', 'hem', 'waist']) {
        const wanted = seam.endsWith('rise') ? 1 : 2;
        expect(
          labels.filter((text) => new RegExp(`^${seam} [\\d.]+`).test(text)).length,
        ).toBeGreaterThanOrEqual(wanted);
      }
    });
  });

  it('holds for any figure and any number of findings', () => {
    const shape = fc.record({
      across: fc.double({ min: 0.75, max: 1.3, noNaN: true }),
      up: fc.double({ min: 0.75, max: 1.3, noNaN: true }),
      waistOut: fc.double({ min: 0, max: 0.5, noNaN: true }),
    });
    fc.assert(
      fc.property(shape, fc.nat({ max: 40 }), fc.subarray([...ADDED]), (figure, count, added) => {
        const sheet = sheetOf(proofOf(figure, count, { added }));
        expect(overlappingTexts(sheet)).toEqual([]);
        expect(textsOnSeams(sheet)).toEqual([]);
        expectOnPaper(sheet);
      }),
      { numRuns: 40, interruptAfterTimeLimit: 20_000 },
    );
  });

  it('shows the pieces an alteration added, in a table and to scale', () => {
    const before = sheetOf(proofOf(SHAPES['worked'], 6));
    const sheet = sheetOf(proofOf(SHAPES['worked'], 6, { added: ADDED }));
    const rows = textsOf(sheet, 'tables').map(({ text }) => text);
    for (const text of ['casing', 'strip, folded', '1030.0', '76.0', 'gusset', 'diamond', '2 ×'])
      expect(rows).toContain(text);
    // Between the rises of a drop-crotch there is room for the gusset, and none for the casing.
    const labels = textsOf(sheet, 'labels').map(({ text }) => text);
    expect(labels).toContain('gusset, cut 1: 100.0 × 80.0');
    const [gusset, ...others] = pathsOf(sheet, 'seam-lines').slice(pathsOf(before, 'seam-lines').length);
    expect(others).toEqual([]);
    const [lower, left, upper, right] = gusset.curves.map((curve) => pointAt(curve, 0));
    const onPaperMm = (a: Point, b: Point): number => Math.hypot(a.x - b.x, a.y - b.y);
    expect(onPaperMm(left, right) * 4).toBeCloseTo(80, 6);
    expect(onPaperMm(lower, left) * 4).toBeCloseTo(100, 6);
    expect(onPaperMm(lower, upper) * 4).toBeCloseTo(2 * Math.sqrt(100 ** 2 - 40 ** 2), 6);
    expect(overlappingTexts(sheet)).toEqual([]);
    expect(textsOnSeams(sheet)).toEqual([]);
    expectOnPaper(sheet);
  });

  it('says what the lines are of a draft with and without cut files', () => {
    const words = (allowances: ProofContent['allowances']): string =>
      textsOf(sheetOf(proofOf(SHAPES['worked'], 0, { allowances })), 'labels')
        .map(({ text }) => text)
        .join(' ');
    expect(words('none')).toContain('no allowance');
    expect(words('in-cut-files')).not.toContain('no allowance');
    expect(words('in-cut-files')).toContain('by the cut files');
  });

  it('holds for a block without alteration', () => {
    const { before, ...rest } = proofOf(SHAPES['worked'], 6, { moved: [] });
    expect(before).toBeDefined();
    const sheet = sheetOf({ ...rest, after: piecesOf('before', SHAPES['worked']) });
    expect(overlappingTexts(sheet)).toEqual([]);
    expectOnPaper(sheet);
    expect(textsOf(sheet, 'labels').some((mark) => mark.text.includes('was'))).toBe(false);
  });

  it('holds when every text and every list is as long as it may be', () => {
    const sheet = sheetOf(overfull());
    expect(overlappingTexts(sheet)).toEqual([]);
    expectOnPaper(sheet);
  });
});

describe('what the proof sheet says', () => {
  const worked = sheetOf(proofOf(SHAPES['worked'], 6));

  // The worked example of the alteration, re-measured by numpy and shapely on polylines of 2,001 points.
  it.each([
    ['front rise 496.4 (was 315.0)'],
    ['back rise 555.7 (was 425.0)'],
    ['inseam 626.8 (was 720.0)'],
    ['outseam 1015.1 (was 1016.0)'],
    ['hem 160.2 (was 179.2)'],
    ['hem 170.2 (was 199.2)'],
    ['waist 188.0 (was 191.5)'],
    ['waist 184.6 (was 186.0)'],
  ])('labels a seam "%s"', (text) => {
    expect(textsOf(worked, 'labels').map((mark) => mark.text)).toContain(text);
  });

  // From the same table of points: fork (147.83, 746.20) to (272.26, 600.60), and so on.
  it.each([
    ['fork', Math.hypot(272.26 - 147.83, 600.6 - 746.2)],
    ['fork', Math.hypot(272.26 - 209.75, 600.6 - 731.17)],
    ['centre waist', 15],
    ['centre waist', 10],
    ['hem inseam', 19],
    ['hem inseam', 29],
    ['knee inseam', 153.06 - 105],
    ['knee outseam', 139.51 - 115],
  ])('says how far the %s moved', (point, mm) => {
    const amounts = textsOf(worked, 'labels')
      .filter((mark) => mark.text.startsWith(`${point} `) && mark.weight === 'semibold')
      .map((mark) => Number(mark.text.slice(point.length + 1)));
    expect(amounts.some((amount) => Math.abs(amount - mm) <= 0.06)).toBe(true);
  });

  it('shows every finding that has a place', () => {
    expect(
      signsOf(worked, 'findings')
        .map(([number]) => number)
        .sort(),
    ).toEqual(['1', '2', '3', '4', '5', '6']);
  });

  it('tells levels apart by the shape of the sign', () => {
    const all = sheetOf(proofOf(SHAPES['worked'], 10));
    // One stop (8 corners), three warnings (3 corners), then infos (a circle of 4 arcs).
    expect(signsOf(all, 'tables').map(([, corners]) => corners)).toEqual([8, 3, 3, 3, 4, 4, 4, 4, 4, 4]);
  });

  it.each([
    ['worked', 4],
    ['short wide', 5],
    ['tall thin', 5],
    ['tall wide', 5],
    ['small', 4],
  ])('draws the %s block at 1:%i, and in that size', (name, scale) => {
    const sheet = sheetOf(proofOf(SHAPES[name], 0));
    expect(textsOf(sheet, 'tables')[0].text).toContain(`scale 1:${scale}`);
    const { up } = SHAPES[name];
    const ys = pointsOf(sheet, 'seam-lines').map((p) => p.y);
    // Lowest point the hem at 30, highest the centre back at 1101.78.
    expect((Math.max(...ys) - Math.min(...ys)) * scale).toBeCloseTo((1101.7847 - 30) * up, 1);
  });

  it('puts each level of front and back at the same height, forks facing each other', () => {
    const forks = forkPoints(worked);
    expect(forks[0].y).toBeCloseTo(forks[1].y, 6);
    expect(forks[0].x).toBeLessThan(forks[1].x);
  });

  it('counts the findings it leaves out', () => {
    const sheet = sheetOf(proofOf(SHAPES['worked'], 40));
    const texts = textsOf(sheet, 'tables').map((mark) => mark.text);
    const [note] = texts.filter((text) => text.startsWith('what to do'));
    const leftOut = Number(/(\d+) more in draft\.json$/.exec(note)?.[1]);
    expect(signsOf(sheet, 'tables').length + leftOut).toBe(40);
  });

  it('never leaves out a seam that is off', () => {
    const { seams } = proofOf(SHAPES['worked'], 0);
    const many = Array.from({ length: 30 }, (_, i) => ({ ...seams[0], seam: `seam ${i}` }));
    const sheet = sheetOf(
      proofOf(SHAPES['worked'], 25, { seams: [...many, { ...seams[0], seam: 'the last', state: 'off' }] }),
    );
    const texts = textsOf(sheet, 'tables').map((mark) => mark.text);
    expect(texts).toContain('the last');
    expect(texts).toContain('OFF');
    expect(texts.some((text) => text.endsWith('more in truing.json'))).toBe(true);
  });

  it.each([
    [true, 0, 'Sewable'],
    [true, 7, 'Do not cut'],
    [false, 0, 'Not sewable: do not cut'],
  ])('with sewable %s and %i findings says "%s"', (sewable, count, word) => {
    const texts = textsOf(sheetOf(proofOf(SHAPES['worked'], count, { sewable })), 'tables').map(
      (mark) => mark.text,
    );
    expect(texts).toContain(word);
  });

  it('sets no text smaller than 2.1 mm', () => {
    expect(Math.min(...textsOf(worked).map((mark) => mark.sizeMm))).toBeGreaterThanOrEqual(2.1);
  });

  it('is the same each time', () => {
    const twice = [0, 1].map(() => JSON.stringify(sheetOf(proofOf(SHAPES['short wide'], 25))));
    expect(twice[0]).toBe(twice[1]);
  });

  it('refuses pieces that no scale holds', () => {
    const huge = { across: 40, up: 40 };
    expect(() => sheetOf(proofOf(huge, 0))).toThrow(expect.objectContaining({ code: 'TOO_LARGE' }));
  });
});

const ADDED: readonly AddedRow[] = [
  { name: 'casing', shape: 'folded-strip', sewnTo: 'waist', lengthMm: 1030, widthMm: 76, count: 1 },
  { name: 'cuff', shape: 'folded-strip', sewnTo: 'hem', lengthMm: 309.7, widthMm: 120, count: 2 },
  { name: 'gusset', shape: 'diamond', sewnTo: 'fork', lengthMm: 100, widthMm: 80, count: 1 },
];

function overfull(): ProofContent {
  const { facts, moved, measures, seams, corners, estimates } = proofOf(SHAPES['worked'], 0);
  const many = <T>(rows: readonly T[]): T[] => Array.from({ length: 5 }, () => rows).flat();
  return proofOf(SHAPES['tall thin'], 40, {
    facts: {
      reference: 'W'.repeat(64),
      blockName: 'block '.repeat(30),
      alterations: Array.from({ length: 20 }, () => facts.alterations[0]),
    },
    moved: many(moved).map((move) => ({
      ...move,
      operation: `${move.operation} with a long name for a step`,
    })),
    measures: many(measures).map((row) => ({
      ...row,
      name: `${row.name} taken over the fullest part of the leg`,
    })),
    added: many(ADDED).map((row) => ({ ...row, name: `${row.name} with a long name for a piece` })),
    seams: many(seams),
    corners: many(corners),
    estimates: many(many(estimates)),
  });
}

function expectOnPaper(sheet: Sheet): void {
  const corners = textsOf(sheet).flatMap(cornersOf);
  const points = [...corners, ...sheet.layers.flatMap((layer) => pointsOf(sheet, layer.id))];
  for (const { x, y } of points) {
    if (x >= MARGIN_MM && y >= MARGIN_MM && x <= sheet.widthMm - MARGIN_MM && y <= sheet.heightMm - MARGIN_MM)
      continue;
    throw new Error(`a mark at (${x.toFixed(2)}, ${y.toFixed(2)})`);
  }
}

function pathsOf(sheet: Sheet, layerId: string): PathMark[] {
  const layer = sheet.layers.find(({ id }) => id === layerId);
  return (layer?.marks ?? []).filter((mark) => mark.kind === 'path');
}

const SAMPLES = 60;

function pointsOf(sheet: Sheet, layerId: string): Point[] {
  return pathsOf(sheet, layerId)
    .flatMap((mark) => mark.curves)
    .flatMap((curve) => Array.from({ length: SAMPLES + 1 }, (_, i) => pointAt(curve, i / SAMPLES)));
}

function textsOnSeams(sheet: Sheet): string[] {
  return textsAt(sheet, pointsOf(sheet, 'seam-lines'));
}

/** Number and corner count of each sign of a layer: the path right before a numeral. */
function signsOf(sheet: Sheet, layerId: string): [number: string, corners: number][] {
  const marks = sheet.layers.find(({ id }) => id === layerId)?.marks ?? [];
  return marks.flatMap((mark, i): [string, number][] => {
    const before = marks[i - 1];
    if (mark.kind !== 'text' || !/^\d+$/.test(mark.text) || before?.kind !== 'path') return [];
    return [[mark.text, before.curves.length]];
  });
}

function forkPoints(sheet: Sheet): Point[] {
  return pathsOf(sheet, 'seam-lines').map((mark) => mark.curves[1].p0);
}
