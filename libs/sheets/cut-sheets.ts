import type { CutPiece } from '#finishing';
import type { CutContent } from './cut-content.js';
import type { Point } from '#geometry';
import { askedLayers, CUT_LAYERS, type CutLayer } from './cut-piece-drawing.js';
import { rectangle, strokeMark, textMark, type Mark, type Sheet } from './display-list.js';
import { textInBox } from './label-places.js';
import {
  goesOn,
  Layout,
  layShapes,
  shapeOf,
  placedPoint,
  type Laid,
  type LaidShape,
  type Paper,
  type Shape,
  type Turn,
} from './lay-shapes.js';
import { lineWords } from './line-words.js';
import { Page } from './page.js';
import { TRUE_SIZE_PENS as PENS } from './pens.js';
import { drawCutPieces, type PlacedPiece } from './piece-drawings.js';
import { wrapText, type TextStyle, type TextWidths } from './text-widths.js';

/** Paper that pieces are plotted on: a roll, cut where the drawing ends, or a sheet of one size. */
export const SHEET_PAPERS = {
  'roll-610': { widthMm: 610 },
  'roll-914': { widthMm: 914 },
  'roll-1067': { widthMm: 1067 },
  a0: { widthMm: 841, lengthMm: 1189 },
} as const;
export type SheetPaper = keyof typeof SHEET_PAPERS;

/** A PDF page can be 14,400 units of 1/72 inch, 5,080 mm; ISO 32000-1 annex C. */
export const PAGE_MM_MAX = 5080;

export const SQUARE_MM = 100;
export const BAR_INCHES = 4;
const INCH_MM = 25.4;

const MARGIN_MM = 12;
const GAP_MM = 12;
/** The legend: test square, inch bar, what this is. */
const LEGEND = { widthMm: 112, heightMm: 205 } as const;

const TEXT = {
  reference: { sizeMm: 7, weight: 'semibold' },
  row: { sizeMm: 4, weight: 'regular' },
} as const satisfies Record<string, TextStyle>;

/**
 * Whether pieces may be turned to save paper. `upright` is for a screen, where one looks for the front and the back as
 * they are worn.
 */
export type LayStyle = 'upright' | 'close';

/**
 * Cut pieces at true size on plotter paper, as many pages as they take.
 *
 * Shape   pieces stand upright with their grain along the roll; where `style` is `close` and it saves a page or a hand of
 *         the roll, they lie turned by quarters, never mirrored. The first page carries a test square of 100 mm and a
 *         bar of 4 inches. A page of a roll is as long as what lies on it, and at most 5,080 mm.
 * Errors  SheetError TOO_LARGE for a piece that the paper does not take.
 */
export function cutSheets(
  content: CutContent,
  paper: SheetPaper,
  widths: TextWidths,
  style: LayStyle = 'close',
): Sheet[] {
  const size: { readonly widthMm: number; readonly lengthMm?: number } = SHEET_PAPERS[paper];
  const room = {
    widthMm: size.widthMm - 2 * MARGIN_MM,
    lengthMm: (size.lengthMm ?? PAGE_MM_MAX) - 2 * MARGIN_MM,
  };
  const laid = laidWithLegend(content, room, style);
  const legend = laid.places[laid.places.length - 1];
  const count = laid.lengthsMm.length;
  return laid.lengthsMm.map((lengthMm, page) => {
    const heightMm = size.lengthMm ?? Math.ceil(lengthMm + 2 * MARGIN_MM);
    const drawn = new Page<CutLayer>(
      { left: 0, bottom: 0, right: size.widthMm, top: heightMm },
      CUT_LAYERS,
      widths,
    );
    if (page === legend.page) drawLegend(drawn, content, legend.move, count);
    const placed = content.pieces.map((piece, i) => ({ piece, place: laid.places[i] }));
    drawCutPieces(
      drawn,
      placed.filter(({ place }) => place.page === page).map((one) => within(one, MARGIN_MM)),
      content,
    );
    const title = count === 1 ? content.reference : `${content.reference}, sheet ${page + 1} of ${count}`;
    return {
      widthMm: size.widthMm,
      heightMm,
      title: `Pattern ${title}`,
      layers: askedLayers(content, drawn),
    };
  });
}

/** A place of the laid room on the paper round it. */
function within({ piece, place: { turn, move } }: PlacedPiece, marginMm: number): PlacedPiece {
  return { piece, place: { turn, move: { x: move.x + marginMm, y: move.y + marginMm } } };
}

/** Pieces only, laid on one endless sheet of a given width: what tiles are cut from. */
export interface CutPlane {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly places: readonly LaidShape[];
}

/**
 * Undefined when a piece is wider than the plane, or as soon as `isWorth` says so of a piece that was laid: by its place in
 * `shapes`.
 */
export function layPlane(
  shapes: readonly Shape[],
  widthMm: number,
  isWorth: (place: LaidShape, piece: number) => boolean,
): CutPlane | undefined {
  const room = { widthMm: widthMm - 2 * PLANE_EDGE_MM, lengthMm: PLANE_MM_MAX };
  if (!shapes.every((shape) => goesOn(shape, room))) return undefined;
  const layout = new Layout(room);
  const places: LaidShape[] = [];
  for (const piece of byHeight(shapes)) {
    places[piece] = layout.lay(shapes[piece]);
    if (!isWorth(places[piece], piece)) return undefined;
  }
  return { widthMm, heightMm: Math.max(...layout.lengthsMm) + 2 * PLANE_EDGE_MM, places };
}

export function drawPlane(
  content: CutContent,
  { widthMm, heightMm, places }: CutPlane,
  widths: TextWidths,
): Sheet {
  const page = new Page<CutLayer>({ left: 0, bottom: 0, right: widthMm, top: heightMm }, CUT_LAYERS, widths);
  const placed = content.pieces.map((piece, i) => within({ piece, place: places[i] }, PLANE_EDGE_MM));
  drawCutPieces(page, placed, content);
  return { widthMm, heightMm, title: `Pattern ${content.reference}`, layers: askedLayers(content, page) };
}

export function planePoint(place: LaidShape): (p: Point) => Point {
  return (p) => {
    const { x, y } = placedPoint(p, place);
    return { x: x + PLANE_EDGE_MM, y: y + PLANE_EDGE_MM };
  };
}

const PLANE_EDGE_MM = 2;
/** Longer than all pieces of a trouser one above the other. */
export const PLANE_MM_MAX = 20_000;

const TURNS: Readonly<Record<LayStyle, readonly Turn[]>> = { upright: [0], close: [0, 180, 90, 270] };

/** A pattern goes on up to six papers, and its shapes are the same for all of them. */
const knownShapes = new WeakMap<CutPiece, Map<LayStyle, Shape>>();

/** The pieces as they may be laid. */
export function shapesOf({ pieces }: CutContent, style: LayStyle): Shape[] {
  return pieces.map((piece) => {
    const known = knownShapes.get(piece) ?? new Map<LayStyle, Shape>();
    knownShapes.set(piece, known);
    let shape = known.get(style);
    if (shape === undefined) {
      const outline = piece.cut.map(({ at }) => at);
      known.set(style, (shape = shapeOf(outline, TURNS[style], GAP_MM)));
    }
    return shape;
  });
}

/** High shapes first; equal ones in the order given. */
function byHeight(shapes: readonly Shape[]): number[] {
  return shapes.map((_, i) => i).sort((a, b) => shapes[b].heightMm - shapes[a].heightMm || a - b);
}

function inOrder(shapes: readonly Shape[], order: readonly number[], room: Paper): Laid {
  const laid = layShapes(
    order.map((i) => shapes[i]),
    room,
  );
  return { ...laid, places: shapes.map((_, i) => laid.places[order.indexOf(i)]) };
}

const LEGEND_SHAPE = shapeOf(
  [
    { x: 0, y: 0 },
    { x: LEGEND.widthMm, y: 0 },
    { x: LEGEND.widthMm, y: LEGEND.heightMm },
    { x: 0, y: LEGEND.heightMm },
  ],
  [0],
  GAP_MM,
);

/** What turning pieces has to save of a roll: it makes a sheet harder to read. */
const WORTH_TURNING_MM = 100;

// The legend comes last of the places. It goes in by its height like a piece, unless it would not come to lie on the
// first page.
function laidWithLegend(content: CutContent, room: Paper, style: LayStyle): Laid {
  const lay = (turning: LayStyle): Laid => {
    const shapes = [...shapesOf(content, turning), LEGEND_SHAPE];
    const legend = shapes.length - 1;
    const laid = inOrder(shapes, byHeight(shapes), room);
    if (laid.places[legend].page === 0) return laid;
    return inOrder(shapes, [legend, ...Array.from({ length: legend }, (_, i) => i)], room);
  };
  const upright = lay('upright');
  if (style === 'upright') return upright;
  const close = lay('close');
  const savedPages = upright.lengthsMm.length - close.lengthsMm.length;
  const savedMm = lengthOf(upright) - lengthOf(close);
  return savedPages > 0 || (savedPages === 0 && savedMm > WORTH_TURNING_MM) ? close : upright;
}

function lengthOf({ lengthsMm }: Laid): number {
  return lengthsMm.reduce((sum, mm) => sum + mm, 0);
}

/** The square and the bar that a print is checked by, with their words, from a lower left corner. */
export function testMarks(left: number, bottom: number, widths: TextWidths): Mark[] {
  const barMm = BAR_INCHES * INCH_MM;
  const square = rectangle(left, bottom + BAR_ROOM_MM, left + SQUARE_MM, bottom + BAR_ROOM_MM + SQUARE_MM);
  const bar = rectangle(left, bottom + 6, left + barMm, bottom + 10);
  const inches = Array.from({ length: BAR_INCHES - 1 }, (_, i) => {
    const x = left + (i + 1) * INCH_MM;
    return rectangle(x, bottom + 6, x, bottom + 10)[1];
  });
  const middle = { x: left + SQUARE_MM / 2, y: bottom + BAR_ROOM_MM + SQUARE_MM / 2 };
  const words = ['test square', '100 mm × 100 mm', 'measure before cutting'].map((text, i) =>
    textInBox(text, { sizeMm: 5, weight: 'regular' }, { x: middle.x, y: middle.y + (1 - i) * 8 }, widths),
  );
  const barWords = textMark(
    '4 inches',
    { sizeMm: 3.6, weight: 'regular' },
    { at: { x: left, y: bottom + 1.5 } },
    widths,
  );
  return [strokeMark(square, PENS.grain), strokeMark([...bar, ...inches], PENS.grain), ...words, barWords];
}

/** From the foot of the bar's words to the foot of the square. */
export const BAR_ROOM_MM = 16;

function drawLegend(page: Page<CutLayer>, content: CutContent, place: Point, pageCount: number): void {
  const left = place.x + MARGIN_MM;
  const bottom = place.y + MARGIN_MM;
  const marks = testMarks(left, bottom, page.widths);
  page.draw('test-square', marks);
  page.room.addBox({
    centre: { x: left + LEGEND.widthMm / 2, y: bottom + LEGEND.heightMm / 2 },
    halfWidthMm: LEGEND.widthMm / 2,
    halfHeightMm: LEGEND.heightMm / 2,
    angleRad: 0,
  });
  let y = bottom + LEGEND.heightMm - 2;
  for (const [text, style] of noteRows(content, pageCount, page.widths)) {
    y -= style.sizeMm * 1.35;
    if (y < bottom + BAR_ROOM_MM + SQUARE_MM + 3) break;
    page.draw('notes', [textMark(text, style, { at: { x: left, y } }, page.widths)]);
  }
}

function noteRows(
  content: CutContent,
  pageCount: number,
  widths: TextWidths,
): (readonly [string, TextStyle])[] {
  const { reference, pieces, provenance, shrinkagePercent } = content;
  const dated = provenance.dated === undefined ? [] : [`dated ${provenance.dated}`];
  const shrinkage =
    shrinkagePercent === undefined
      ? []
      : [`grown for shrinkage: warp ${shrinkagePercent.warp} %, weft ${shrinkagePercent.weft} %`];
  const says = [
    `${pieces.length} pieces on ${pageCount === 1 ? 'one sheet' : `${pageCount} sheets`}, ${lineWords(content).what}`,
    'Measure the square. If a side is not 100 mm, print again at 100 %. Do not cut.',
    ...shrinkage,
    [provenance.engine, `request ${provenance.requestHash.slice(0, 12)}`, ...dated].join(' · '),
  ];
  const rows = (texts: readonly string[], style: TextStyle): (readonly [string, TextStyle])[] =>
    texts.flatMap((text) =>
      wrapText(text, LEGEND.widthMm - 4, style, widths).map((row) => [row, style] as const),
    );
  return [...rows([reference], TEXT.reference), ...rows(says, TEXT.row)];
}
