import { describe, expect, it } from '@jest/globals';
import type { Point } from '#geometry';
import { cutContentOf, cutPattern, threeBodies } from '../../test/support/cut-patterns.js';
import { overlappingTexts } from '../../test/support/sheet-geometry.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { cutSheets, SHEET_PAPERS, type SheetPaper } from './cut-sheets.js';
import type { Sheet } from './display-list.js';
import { PLEX_WIDTHS } from './plex-widths.js';
import { planTiles, TILE_PAPERS, type TilePaper } from './tile-plan.js';
import { tileSheets } from './tile-sheets.js';

const ROLLS = Object.keys(SHEET_PAPERS) as SheetPaper[];
const TILES = Object.keys(TILE_PAPERS) as TilePaper[];

/** What a person cuts along is kept this far from the next line. */
const GAP_MM = 12;

/** The cut lines of a sheet as chains of their corners. */
function cutLines({ layers }: Sheet): Point[][] {
  const marks = layers.find(({ id }) => id === 'cut-line')?.marks ?? [];
  return marks.map((mark) => (mark.kind === 'path' ? mark.curves.map(({ p0 }) => p0) : []));
}

/** Least distance of two polygons that do not cross: from a corner of one to a side of the other. Plain school geometry. */
function apartMm(a: readonly Point[], b: readonly Point[]): number {
  const oneWay = (from: readonly Point[], to: readonly Point[]): number =>
    Math.min(...from.flatMap((p) => to.map((q, i) => toSegmentMm(p, q, to[(i + 1) % to.length]))));
  return Math.min(oneWay(a, b), oneWay(b, a));
}

function toSegmentMm(p: Point, a: Point, b: Point): number {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const square = dx * dx + dy * dy;
  const share = square === 0 ? 0 : ((p.x - a.x) * dx + (p.y - a.y) * dy) / square;
  const t = Math.max(0, Math.min(1, share));
  return Math.hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

function leastGapMm(sheet: Sheet): number {
  const lines = cutLines(sheet);
  return Math.min(
    Infinity,
    ...lines.flatMap((line, i) => lines.slice(0, i).map((other) => apartMm(line, other))),
  );
}

describe('cut pieces on paper', () => {
  // Every seventh body of the fixture: slim and full, short and tall.
  const bodies = surveyBodies().filter((_, i) => i % 7 === 0);

  it.each(bodies.map((body) => [body.ref, body] as const))(
    'are 12 mm apart on every paper: %s',
    (_, body) => {
      const content = cutContentOf(cutPattern(body, 0.5));
      const planes = TILES.map((paper) => planTiles(content, paper, 'page', PLEX_WIDTHS).plane);
      const sheets = ROLLS.filter((paper) => paper !== 'a0').flatMap((paper) =>
        cutSheets(content, paper, PLEX_WIDTHS),
      );
      for (const sheet of [...planes, ...sheets])
        expect(leastGapMm(sheet)).toBeGreaterThanOrEqual(GAP_MM - 1e-6);
    },
  );

  it.each(threeBodies())('have words that meet no other words: $name', ({ body }) => {
    const content = cutContentOf(cutPattern(body, 0.5));
    for (const sheet of cutSheets(content, 'roll-1067', PLEX_WIDTHS))
      expect(overlappingTexts(sheet)).toEqual([]);
  });

  it('look the same on a paper whatever other papers were asked for', () => {
    const pattern = cutPattern(surveyBodies()[0], 0.5);
    const together = cutContentOf(pattern);
    const all = TILES.map((paper) => tileSheets(together, paper, 'page', PLEX_WIDTHS));
    const alone = TILES.map((paper) => tileSheets(cutContentOf(pattern), paper, 'page', PLEX_WIDTHS));
    expect(all).toEqual(alone);
    const upright = cutSheets(together, 'roll-1067', PLEX_WIDTHS, 'upright');
    expect(upright).toEqual(cutSheets(cutContentOf(pattern), 'roll-1067', PLEX_WIDTHS, 'upright'));
  });
});
