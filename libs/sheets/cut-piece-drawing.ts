import {
  along,
  DEG,
  direction,
  distance,
  flatten,
  leftOf,
  line,
  mapCurve,
  opposite,
  ringContains,
  type Curve,
  type Point,
} from '#geometry';
import type { CutNotch, CutPiece } from '#finishing';
import { boundsOfPoints, grownBox, type Box } from './box.js';
import type { CutContent } from './cut-content.js';
import { labelRows, smallLabelRows } from './cut-labels.js';
import { circle, polygon, textMark, type Layer } from './display-list.js';
import { firstThat } from './first-that.js';
import { drawLabelNear, type LabelRow } from './near-label.js';
import type { Page } from './page.js';
import { CUT_PENS, TRUE_SIZE_PENS as PENS } from './pens.js';
import { grainMarks } from './signs.js';
import { INK_ABOVE, INK_BELOW, textWidthMm } from './text-widths.js';

/** Layers of a sheet of cut pieces, in drawing order. */
export const CUT_LAYERS = [
  'balance-lines',
  'stitch-lines',
  'seam-line',
  'cut-line',
  'notches',
  'drill-holes',
  'grain',
  'labels',
  'test-square',
  'notes',
] as const;
export type CutLayer = (typeof CUT_LAYERS)[number];

/** Those that may be left out. What a print is checked by, and what it says of itself, is always on it. */
export const CHOSEN_LAYERS = [
  'balance-lines',
  'stitch-lines',
  'seam-line',
  'cut-line',
  'notches',
  'drill-holes',
  'grain',
  'labels',
] as const satisfies readonly CutLayer[];
export type ChosenLayer = (typeof CHOSEN_LAYERS)[number];

/** The layers of a page that the content asks for. */
export function askedLayers({ layers: asked }: CutContent, page: Page<CutLayer>): Layer[] {
  if (asked === undefined) return page.layers();
  const isAsked = (id: string): boolean =>
    !CHOSEN_LAYERS.some((layer) => layer === id) || asked.some((layer) => layer === id);
  return page.layers().filter(({ id }) => isAsked(id));
}

/** Pieces narrower than this get their label along them. */
const NARROW_MM = 125;
const GRAIN_HEAD_MM = 7;
const ROW_PITCH = 1.4;

/** Draw a piece where `move` puts it: turned and moved, never mirrored. Its words read from the page's own foot. */
export function drawCutPiece(
  page: Page<CutLayer>,
  piece: CutPiece,
  content: CutContent,
  move: (p: Point) => Point,
): void {
  const moved = (curves: readonly Curve[]): Curve[] => curves.map((curve) => mapCurve(curve, move));
  page.drawLine('cut-line', moved(polygon(piece.cut.map(({ at }) => at))), CUT_PENS.cut, 'bold');
  for (const { curves } of piece.runs) page.drawLine('seam-line', moved(curves), CUT_PENS.seam, 'bold');
  for (const curves of piece.darts) page.drawLine('seam-line', moved(curves), CUT_PENS.seam, 'bold');
  for (const { role, curves } of piece.lines) {
    if (role === 'fold') page.drawLine('stitch-lines', moved(curves), CUT_PENS.fold, 'bold');
    else if (role === 'fly' || role === 'stitch' || role === 'internal')
      page.drawLine('stitch-lines', moved(curves), PENS.stitch, 'bold');
    else page.drawLine('balance-lines', moved(curves), PENS.balance, 'bold');
  }
  page.drawLine('notches', moved(piece.notches.flatMap(notchCurves)), PENS.notch, 'bold');
  for (const { at, diameterMm } of piece.drillHoles)
    page.drawLine('drill-holes', moved(drillCurves(at, diameterMm)), PENS.notch, 'bold');
  const grain: [Point, Point] = [move(piece.grain[0]), move(piece.grain[1])];
  page.draw('grain', grainMarks(grain[0], grain[1], GRAIN_HEAD_MM));
  page.room.addLine(grain[0], grain[1], 'bold');
  const ring = piece.cut.map(({ at }) => move(at));
  const [a, b] = longestSide(ring);
  if (widthAcross(ring, a, direction(a, b)) < NARROW_MM) labelAlong(page, piece, content, ring, grain, moved);
  else labelWithin(page, piece, content, ring, grain);
}

/** A slit is a line inwards, a v two lines that meet inside. */
export function notchCurves({ at, inwards, depthMm, widthMm }: CutNotch): Curve[] {
  const tip = along(at, inwards, depthMm);
  if (widthMm === 0) return [line(at, tip)];
  const side = leftOf(inwards);
  return [line(along(at, side, widthMm / 2), tip), line(tip, along(at, side, -widthMm / 2))];
}

/** A ring with a cross through it, larger than the hole, so that it is seen. */
export function drillCurves(at: Point, diameterMm: number): Curve[] {
  const reach = 1.5 * diameterMm;
  return [
    ...circle(at, diameterMm),
    line({ x: at.x - reach, y: at.y }, { x: at.x + reach, y: at.y }),
    line({ x: at.x, y: at.y - reach }, { x: at.x, y: at.y + reach }),
  ];
}

function labelWithin(
  page: Page<CutLayer>,
  piece: CutPiece,
  content: CutContent,
  ring: readonly Point[],
  [from, to]: readonly [Point, Point],
): void {
  // Beside the upper end of the grain arrow, on the wider side of the piece there.
  const at = { x: (from.x + to.x) / 2, y: from.y + 0.8 * (to.y - from.y) };
  const xs = ring.map(({ x }) => x);
  const outwards = at.x - Math.min(...xs) > Math.max(...xs) - at.x ? Math.PI : 0;
  drawLabelNear(page, 'labels', labelRows(piece, content, Math.max(...xs) - Math.min(...xs)), at, outwards);
}

/** In the middle of the directions that text may run in: from 80 degrees down to 100 degrees up. */
const READING_RAD = 10 * DEG;

/** Places along the side, and beside the middle of it: the middle first. */
const SHARES = [0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.2];
const SIDES = [0, 1, -1, 0.75, -0.75, 0.5, -0.5, 0.25, -0.25];
/** Between rows along a piece and its lines. */
const ROWS_CLEAR_MM = 1.2;
const FINE_SHARES = Array.from({ length: 15 }, (_, i) => 0.06 * (i + 1));
const FINE_SIDES = Array.from({ length: 17 }, (_, i) => (i - 8) * 0.15);

// Along the longest straight side of a narrow piece, as far from its grain arrow and fold as it goes.
function labelAlong(
  page: Page<CutLayer>,
  piece: CutPiece,
  content: CutContent,
  ring: readonly Point[],
  grain: readonly [Point, Point],
  moved: (curves: readonly Curve[]) => Curve[],
): void {
  const rows = smallLabelRows(piece, content);
  const [from, to] = longestSide(ring);
  const side = direction(from, to);
  // Read from below or from the right of the page, as on technical drawings.
  const readable = Math.cos(Math.atan2(side.y, side.x) - READING_RAD) > 0;
  const towards = readable ? side : opposite(side);
  const centre = middleOf(ring);
  const blocked = [
    chordOf(grain[0], grain[1]),
    ...moved(piece.lines.filter(({ role }) => role === 'fold').flatMap(({ curves }) => curves)).map((curve) =>
      flatten(curve, 1),
    ),
  ].flat();
  const lengthMm = distance(from, to);
  const stepMm = SIDE_STEP * widthAcross(ring, centre, towards);
  const candidatesAt = (shares: readonly number[], sides: readonly number[]): Point[] =>
    shares
      .flatMap((share) =>
        sides.map((side) =>
          along(along(centre, towards, (share - 0.5) * lengthMm * 0.9), leftOf(towards), side * stepMm),
        ),
      )
      .filter((p) => ringContains(ring, p));
  const box = boxOfRows(page, rows, centre, towards);
  const isFree = (p: Point, clearMm: number): boolean =>
    page.room.isFree(grownBox({ ...box, centre: p }, clearMm), 'bold-and-text');
  const chain = blockedChain(blocked);
  const candidates = candidatesAt(SHARES, SIDES);
  // A slanted piece with three rows has room for them at hardly one place.
  const fine = (): Point[] => candidatesAt(FINE_SHARES, FINE_SIDES);
  const places = firstThat(
    [
      () => candidates.filter((p) => isFree(p, ROWS_CLEAR_MM)),
      () => fine().filter((p) => isFree(p, ROWS_CLEAR_MM)),
      () => fine().filter((p) => isFree(p, 0)),
      () => candidates,
    ],
    (look) => look(),
    (found) => found.length > 0,
  );
  drawRowsAlong(page, rows, clearest(places, chain) ?? centre, towards);
}

/** The first of the places that are farthest from a chain; a millimetre is not worth another one. */
function clearest(places: readonly Point[], chain: readonly Point[]): Point | undefined {
  let best: Point | undefined;
  let bestMm = -Infinity;
  for (const place of places) {
    let mm = Infinity;
    for (const p of chain) mm = Math.min(mm, distance(place, p));
    if (best !== undefined && mm <= bestMm + 1) continue;
    best = place;
    bestMm = mm;
  }
  return best;
}

function boxOfRows(page: Page<CutLayer>, rows: readonly LabelRow[], centre: Point, towards: Point): Box {
  const widthMm = Math.max(...rows.map(({ text, style }) => textWidthMm(text, style, page.widths)));
  const heightMm = rows.reduce((sum, { style }) => sum + style.sizeMm * ROW_PITCH, 0);
  const angleRad = Math.atan2(towards.y, towards.x);
  return { centre, halfWidthMm: widthMm / 2 + 1, halfHeightMm: heightMm / 2, angleRad };
}

/** Half way from the middle of a strip to its edge. */
const SIDE_STEP = 0.22;

function widthAcross(ring: readonly Point[], p: Point, towards: Point): number {
  const side = leftOf(towards);
  const across = ring.map((q) => (q.x - p.x) * side.x + (q.y - p.y) * side.y);
  return Math.max(...across) - Math.min(...across);
}

function chordOf(a: Point, b: Point): Point[] {
  return [a, b];
}

/** Points every few millimetres along pairs of ends. */
function blockedChain(ends: readonly Point[]): Point[] {
  const points: Point[] = [];
  for (let i = 0; i + 1 < ends.length; i += 2) {
    const [a, b] = [ends[i], ends[i + 1]];
    const steps = Math.max(1, Math.ceil(distance(a, b) / 4));
    for (let step = 0; step <= steps; step++)
      points.push({ x: a.x + ((b.x - a.x) * step) / steps, y: a.y + ((b.y - a.y) * step) / steps });
  }
  return points;
}

function longestSide(ring: readonly Point[]): [Point, Point] {
  let best: [Point, Point] = [ring[0], ring[1]];
  for (const [i, p] of ring.entries()) {
    const q = ring[(i + 1) % ring.length];
    if (distance(p, q) > distance(...best)) best = [p, q];
  }
  return best;
}

function middleOf(ring: readonly Point[]): Point {
  const { left, right, bottom, top } = boundsOfPoints(ring);
  return { x: (left + right) / 2, y: (bottom + top) / 2 };
}

/** Rows of text along a direction, their block centred on a point, read from the left or from the right of the page. */
function drawRowsAlong(page: Page<CutLayer>, rows: readonly LabelRow[], centre: Point, towards: Point): void {
  const angleRad = Math.atan2(towards.y, towards.x);
  const up = leftOf(towards);
  const heights = rows.map(({ style }) => style.sizeMm * ROW_PITCH);
  let above = heights.reduce((sum, height) => sum + height, 0) / 2;
  for (const [i, { text, style }] of rows.entries()) {
    above -= heights[i] / 2;
    const baseline = along(centre, up, above - ((INK_ABOVE - INK_BELOW) / 2) * style.sizeMm);
    const start = along(baseline, towards, -textWidthMm(text, style, page.widths) / 2);
    page.drawText('labels', textMark(text, style, { at: start, angleRad }, page.widths));
    above -= heights[i] / 2;
  }
}
