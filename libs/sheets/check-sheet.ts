import { add, along, line, mapCurve, pointAt, type Curve, type Point } from '#geometry';
import type { Bounds } from './box.js';
import { layColumn, SEAM_ROWS_MAX } from './check-column.js';
import { seamBars, SEAM_BARS_MAX } from './check-seam-bars.js';
import type { CheckContent, CheckContentPiece } from './check-content.js';
import { layCheckLegend } from './check-legend.js';
import { circle, strokeMark, textMark, type Layer, type Mark, type Sheet } from './display-list.js';
import { CHECK_PENS, PENS, TEXT } from './pens.js';
import { signOf } from './finding-list.js';
import { PAGE } from './proof-plan.js';
import { grainMarks, stateMarks } from './signs.js';
import { linePitchMm } from './table.js';
import { shortened, textWidthMm, wrapText, type TextWidths } from './text-widths.js';

const MARGIN = 8;
const DRAWING: Bounds = { left: MARGIN, right: 268, bottom: 74, top: PAGE.heightMm - MARGIN };
const SEAMS: Bounds = { left: MARGIN, right: 268, bottom: MARGIN, top: 68 };
const COLUMN: Bounds = {
  left: 276,
  right: PAGE.widthMm - MARGIN,
  bottom: MARGIN,
  top: PAGE.heightMm - MARGIN,
};

/**
 * The drawing of a checked pattern: every piece with the state of its seams, the seams that are sewn to each other laid
 * along each other, and the tables to sign.
 *
 * Shape   A3 lying. Seams that hold are drawn solid, those that are off broken, heavier and with a cross: tone and
 *         weight are never the only sign. Findings carry their number at their place, those of a whole piece at its
 *         name. Under the pieces each pair of seams lies as two bars from the end they share, with their notches; what
 *         one is longer is filled. The column says which pattern it is, what was moved where it is a corrected one, what the
 *         sewer has to ease, and what the rules have set aside.
 * Edges   shapes of a file without a unit are drawn to fit; of a file that was not read it is said why nothing is drawn.
 *         Pieces are laid in rows at one scale, the largest at which all fit; what does not fit in the column is counted
 *         there and stands in the report. Names come from the file, however long: what does not fit of them is cut off
 *         with an ellipsis.
 */
export function checkSheet(content: CheckContent, widths: TextWidths): Sheet {
  const plan = planPieces(content, widths);
  const column = layColumn(content, COLUMN, widths);
  const layers: Layer[] = [
    { id: 'pieces', marks: content.pieces.flatMap((piece) => pieceMarks(piece, plan, widths)) },
    { id: 'signs', marks: signMarks(content, plan, column.listed, widths) },
    { id: 'seams', marks: seamBars(content.seams, SEAMS, widths) },
    { id: 'tables', marks: column.marks },
    { id: 'notes', marks: noteMarks(content, plan, widths) },
  ];
  return { ...PAGE, title: `Check ${content.name}`, layers };
}

interface Plan {
  readonly scale: number;
  readonly place: ReadonlyMap<string, (p: Point) => Point>;
}

interface Extent {
  readonly left: number;
  readonly bottom: number;
  readonly width: number;
  readonly height: number;
}

const GAP_MM = 6;
/** Room for the name, what the piece was taken for, and the numbers of findings about the whole of it. */
const NAME_MM = 8;
const SCALES = [
  2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500, 1000, 2000, 5000, 10_000, 20_000,
];
/** Shapes without a unit: any scale, from a thousand times as large to a millionth, in steps that nobody sees. */
const FITTING = Array.from({ length: 512 }, (_, i) => 1e-3 * 1.042 ** i);
/** At the smallest scale so many fit, whatever they are; no trouser has them. */
const PIECES_DRAWN_MAX = 90;

function extentOf({ cut, seams }: CheckContentPiece): Extent {
  const points = [...cut, ...seams.flatMap(({ curves }) => curves)].flatMap((curve) =>
    [0, 0.5, 1].map((t) => pointAt(curve, t)),
  );
  let [left, right, bottom, top] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const { x, y } of points)
    [left, right, bottom, top] = [
      Math.min(left, x),
      Math.max(right, x),
      Math.min(bottom, y),
      Math.max(top, y),
    ];
  return points.length === 0
    ? { left: 0, bottom: 0, width: 0, height: 0 }
    : { left, bottom, width: right - left, height: top - bottom };
}

/** Marks that lie outside of a piece get room beside it, if they are no further off than it is large. */
function withMarks(extent: Extent, marks: readonly Point[]): Extent {
  const reach = Math.max(extent.width, extent.height);
  let [left, right, bottom, top] = [
    extent.left,
    extent.left + extent.width,
    extent.bottom,
    extent.bottom + extent.height,
  ];
  for (const { x, y } of marks) {
    if (Math.max(left - x, x - right, bottom - y, y - top) > reach) continue;
    [left, right, bottom, top] = [
      Math.min(left, x),
      Math.max(right, x),
      Math.min(bottom, y),
      Math.max(top, y),
    ];
  }
  return { left, bottom, width: right - left, height: top - bottom };
}

/** Rows from the top down, tallest pieces first, at the largest scale of the list that holds them all. */
function planPieces({ pieces, findings, isScaled }: CheckContent, widths: TextWidths): Plan {
  const sized = pieces
    .map((piece) => {
      const places = findings.flatMap((each) =>
        each.piece === piece.id && each.at !== undefined ? [each.at] : [],
      );
      const extent = withMarks(extentOf(piece), [...places, ...piece.holes]);
      return { piece, extent, wordsMm: wordsMm(piece, widths) };
    })
    .sort((a, b) => b.extent.height - a.extent.height)
    .slice(0, PIECES_DRAWN_MAX);
  const scales = isScaled ? SCALES : FITTING;
  for (const scale of scales) {
    const place = new Map<string, (p: Point) => Point>();
    let [x, top, rowMm] = [DRAWING.left, DRAWING.top, 0];
    let fits = true;
    for (const { piece, extent, wordsMm: named } of sized) {
      const width = Math.max(extent.width / scale, named);
      const height = extent.height / scale + NAME_MM;
      const aside = (width - extent.width / scale) / 2;
      if (x > DRAWING.left && x + width > DRAWING.right)
        [x, top, rowMm] = [DRAWING.left, top - rowMm - GAP_MM, 0];
      const origin = { x, y: top - height };
      fits &&= x + width <= DRAWING.right && origin.y >= DRAWING.bottom;
      place.set(piece.id, (p) => ({
        x: origin.x + aside + (p.x - extent.left) / scale,
        y: origin.y + NAME_MM + (p.y - extent.bottom) / scale,
      }));
      x += width + GAP_MM;
      rowMm = Math.max(rowMm, height);
    }
    if (fits || scale === scales[scales.length - 1]) return { scale, place };
  }
  return { scale: 1, place: new Map() };
}

const GRAIN_HEAD_MM = 2;
const NOTCH_MM = 1.6;
const HOLE_MM = 0.7;

function pieceMarks(piece: CheckContentPiece, { place, scale }: Plan, widths: TextWidths): Mark[] {
  const to = place.get(piece.id);
  if (to === undefined) return [];
  const drawn = (curves: readonly Curve[]): Curve[] => curves.map((curve) => mapCurve(curve, to));
  const { left, bottom, width } = extentOf(piece);
  const name = to({ x: left + width / 2, y: bottom });
  return [
    ...(piece.cut.length === 0 ? [] : [strokeMark(drawn(piece.cut), CHECK_PENS.cut)]),
    ...(piece.lines.length === 0 ? [] : [strokeMark(drawn(piece.lines), PENS.balance)]),
    ...piece.seams.flatMap(({ curves, state }): Mark[] => [
      strokeMark(drawn(curves), state === 'off' ? CHECK_PENS.off : PENS.seam),
      ...(state === 'off' ? crossOn(drawn(curves)) : []),
    ]),
    ...piece.notches.map(({ at, inwards }) => {
      const from = to(at);
      return strokeMark([line(from, along(from, inwards, NOTCH_MM))], PENS.notch);
    }),
    ...(piece.grain === undefined ? [] : grainMarks(to(piece.grain[0]), to(piece.grain[1]), GRAIN_HEAD_MM)),
    ...piece.holes.map((at) => strokeMark(circle(to(at), HOLE_MM), PENS.notch)),
    ...(['name', 'detail'] as const).map((words, i) => {
      const style = words === 'name' ? TEXT.labelStrong : TEXT.small;
      const room = Math.max(width / scale, NAME_ROOM_MM);
      const at = { x: name.x, y: name.y - 3.6 - 3 * i };
      return textMark(shortened(piece[words], room, style, widths), style, { at, anchor: 'middle' }, widths);
    }),
  ];
}

/** The cross of a seam that is off stands beside the middle of it. */
function crossOn(curves: readonly Curve[]): Mark[] {
  const middle = curves[Math.floor(curves.length / 2)];
  return middle === undefined ? [] : stateMarks('off', add(pointAt(middle, 0.5), { x: 2.2, y: 0 }));
}

/** Triangles, the widest signs, stand side by side without touching. */
const SIGN_STEP_MM = 6.7;
/** A sign reaches so far over the edge of the drawing that it still stands clear of what a printer leaves out. */
const SIGN_OVER_MM = 1.5;

function signMarks(
  content: CheckContent,
  { place }: Plan,
  listed: ReadonlySet<number>,
  widths: TextWidths,
): Mark[] {
  const taken: Point[] = [];
  return content.findings.flatMap((each) => {
    const { number, piece, at } = each;
    const drawn = content.pieces.find(({ id }) => id === piece);
    const to = drawn === undefined ? undefined : place.get(drawn.id);
    if (drawn === undefined || to === undefined || !listed.has(number)) return [];
    if (at === undefined) {
      const beside = besideName(nameEnd(drawn, to, widths), taken);
      if (beside === undefined) return [];
      taken.push(beside);
      return [...signOf(each, beside, widths)];
    }
    const point = to(at);
    const spot = freeSpot(point, taken);
    taken.push(spot);
    const leader = strokeMark([line(point, spot)], PENS.leader);
    return [leader, ...signOf(each, spot, widths)];
  });
}

const BESIDE_NAME_MAX = 6;

/** The first place behind the name that is free; undefined where so many stand there that the list has to do. */
function besideName(end: Point, taken: readonly Point[]): Point | undefined {
  return Array.from({ length: BESIDE_NAME_MAX }, (_, i) => ({ x: end.x + i * SIGN_STEP_MM, y: end.y })).find(
    (spot) =>
      spot.x < DRAWING.right &&
      taken.every((other) => Math.hypot(other.x - spot.x, other.y - spot.y) >= SIGN_STEP_MM),
  );
}

/** Behind the name of a piece. */
function nameEnd(piece: CheckContentPiece, to: (p: Point) => Point, widths: TextWidths): Point {
  const { left, bottom, width } = extentOf(piece);
  const { x, y } = to({ x: left + width / 2, y: bottom });
  return { x: x + wordsMm(piece, widths) / 2 + 4, y: y - 4 };
}

/** As much of a name as is kept under a piece that is narrower; a wide piece has room for more. */
const NAME_ROOM_MM = 24;

/** The width of the two lines under a piece, as far as they are kept. */
function wordsMm({ name, detail }: CheckContentPiece, widths: TextWidths): number {
  const longer = Math.max(
    textWidthMm(name, TEXT.labelStrong, widths),
    textWidthMm(detail, TEXT.small, widths),
  );
  return Math.min(longer, NAME_ROOM_MM);
}

/** The nearest of a ring of places that no other sign has taken. */
function freeSpot(point: Point, taken: readonly Point[]): Point {
  const clear = (spot: Point): boolean =>
    spot.x > DRAWING.left + SIGN_OVER_MM &&
    spot.x < DRAWING.right &&
    spot.y > DRAWING.bottom - 4 &&
    spot.y < DRAWING.top - SIGN_OVER_MM &&
    taken.every((other) => Math.hypot(other.x - spot.x, other.y - spot.y) > SIGN_STEP_MM);
  for (let ring = 1; ring <= 6; ring++)
    for (let k = 0; k < 8; k++) {
      const angle = (Math.PI * (1 + 2 * k)) / 8;
      const spot = {
        x: point.x + ring * SIGN_STEP_MM * Math.cos(angle),
        y: point.y + ring * SIGN_STEP_MM * Math.sin(angle),
      };
      if (clear(spot)) return spot;
    }
  return point;
}

function noteMarks(content: CheckContent, { scale }: Plan, widths: TextWidths): Mark[] {
  const { seams, pieces, notice } = content;
  if (pieces.length === 0) return notice === undefined ? [] : noticeMarks(notice, widths);
  const undrawn = pieces.length - PIECES_DRAWN_MAX;
  const unshown = seams.length - SEAM_BARS_MAX;
  const left = [
    ...(undrawn > 0 ? [`${undrawn} smaller pieces are not drawn.`] : []),
    ...(unshown > 0
      ? [`${unshown} more seams in the ${seams.length > SEAM_ROWS_MAX ? 'report' : 'table'}.`]
      : []),
  ];
  const area = { ...DRAWING, top: DRAWING.bottom - 2.6, bottom: SEAMS.top };
  return layCheckLegend(content, scale, left, area, widths);
}

const NOTICE_MM = 180;

/** Where there is nothing to draw, it is said why in its place. */
function noticeMarks(notice: string, widths: TextWidths): Mark[] {
  const style = TEXT.pieceName;
  return wrapText(notice, NOTICE_MM, style, widths).map((text, i) => {
    const at = { x: DRAWING.left, y: DRAWING.top - 6 - i * linePitchMm(style) };
    return textMark(text, style, { at }, widths);
  });
}
