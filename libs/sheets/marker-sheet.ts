import { line, type Curve, type Point } from '#geometry';
import {
  fillMark,
  polygon,
  polyline,
  rectangle,
  strokeMark,
  textMark,
  type Layer,
  type Mark,
  type Sheet,
} from './display-list.js';
import { hatchOf, hatchStrokes } from './hatch.js';
import { labelSpot, type LabelSpot } from './label-spot.js';
import { MARKER_PENS as PENS } from './pens.js';
import { shortened, textWidthMm, wrapText, type TextStyle, type TextWidths } from './text-widths.js';

/** A marker to draw; all lengths in the unit of the marker, for garments millimetres. */
export interface MarkerContent {
  readonly reference: string;
  readonly cloth: {
    readonly width: number;
    readonly length: number;
    readonly selvedge: number;
    readonly endMargin: number;
    /** 0 for plain cloth. */
    readonly repeatAlong: number;
    readonly repeatAcross: number;
  };
  /** What the garments are called, in the order that `garment` counts. */
  readonly garments: readonly string[];
  readonly pieces: readonly MarkerContentPiece[];
  /** Figures and remarks, a line each. */
  readonly facts: readonly string[];
}

export interface MarkerContentPiece {
  readonly name: string;
  readonly garment: number;
  /** As it lies on the cloth. */
  readonly outline: readonly Point[];
  /** Direction in which the top of the drawn piece points, for cloth with a nap. */
  readonly grainRad: number;
}

const MARGIN_MM = 15;
/** The longest side of the paper rolls that plotters commonly take is more; this is what a screen still shows. */
const DRAWN_LENGTH_MM_MAX = 1200;
const DRAWN_WIDTH_MM_MAX = 800;
/** A little finer than 1, 2, 5: a marker just too long for one scale would lose half its names on the next. */
const SCALES = [1, 2, 2.5, 4, 5, 8];
/** Notes are read on the whole drawing, often printed smaller than it is: larger than on the sheet of one garment. */
const NOTE = {
  head: { sizeMm: 7, weight: 'semibold' },
  row: { sizeMm: 4.2, weight: 'regular' },
} as const satisfies Record<string, TextStyle>;
const ROW_MM = 7.5;
const SWATCH_MM = { wide: 18, high: 6 };
const LEGEND_COLUMN_MM = 88;
const NOTES_MM_MIN = 260;
/** Runs of grid lines on striped cloth, bounded for a repeat of a millimetre. */
const REPEAT_LINES_MAX = 400;

const LABEL_STYLES: readonly TextStyle[] = [
  { sizeMm: 4.6, weight: 'semibold' },
  { sizeMm: 3.4, weight: 'semibold' },
  { sizeMm: 2.5, weight: 'semibold' },
  { sizeMm: 2.1, weight: 'semibold' },
];

/**
 * A marker to scale: every piece with its name and garment, garments told apart by number and hatch.
 *
 * Shape   the cloth lies with its length from left to right; below it the facts, the scale and the list of garments.
 *         A name that does not fit into its piece gives way to the garment's number; a number that does not fit is
 *         left out, and the notes say how many.
 */
export function markerSheet(content: MarkerContent, widths: TextWidths): Sheet {
  const { cloth, garments } = content;
  const scale = scaleFor(cloth.length, cloth.width);
  const [long, wide] = [cloth.length * scale.perUnit, cloth.width * scale.perUnit];
  const pageWidth = Math.max(long, NOTES_MM_MIN) + 2 * MARGIN_MM;
  const legend = legendRows(garments, pageWidth - 2 * MARGIN_MM);
  const facts = content.facts.flatMap((fact) => wrapText(fact, pageWidth - 2 * MARGIN_MM, NOTE.row, widths));
  const notesHigh = (facts.length + legend.rows + 3) * ROW_MM + 12;
  const origin = { x: MARGIN_MM, y: MARGIN_MM + notesHigh };
  const toPage = ({ x, y }: Point): Point => ({
    x: origin.x + x * scale.perUnit,
    y: origin.y + y * scale.perUnit,
  });
  const drawn = content.pieces.map((piece) => drawPiece(piece, piece.outline.map(toPage), widths));
  const unnamed = drawn.filter(({ isNamed }) => !isNamed).length;
  const layers: Layer[] = [
    { id: 'cloth', marks: clothMarks(content, toPage) },
    { id: 'pieces', marks: drawn.flatMap(({ cut }) => cut) },
    { id: 'labels', marks: drawn.flatMap(({ label }) => label) },
    { id: 'notes', marks: noteMarks({ content, facts, unnamed, scale, top: origin.y - 12 }, widths) },
    {
      id: 'garments',
      marks: legendMarks(garments, legend, origin.y - 12 - (facts.length + 2) * ROW_MM, widths),
    },
  ];
  return {
    widthMm: Math.ceil(pageWidth),
    heightMm: Math.ceil(origin.y + wide + MARGIN_MM),
    title: `Marker ${content.reference}`,
    layers,
  };
}

interface Scale {
  /** Millimetres of paper to a unit of cloth. */
  readonly perUnit: number;
  readonly says: string;
}

/** The largest scale of the series at which the marker fits the page. */
function scaleFor(length: number, width: number): Scale {
  const fit = Math.min(DRAWN_LENGTH_MM_MAX / length, DRAWN_WIDTH_MM_MAX / width);
  const decade = 10 ** Math.floor(Math.log10(fit));
  const step = [...SCALES].reverse().find((candidate) => candidate * decade <= fit * (1 + 1e-9)) ?? 1;
  const perUnit = step * decade;
  const [over, under] = perUnit >= 1 ? [perUnit, 1] : [1, 1 / perUnit];
  return { perUnit, says: `${Number(over.toPrecision(6))}:${Number(under.toPrecision(6))}` };
}

interface DrawnPiece {
  readonly cut: readonly Mark[];
  readonly label: readonly Mark[];
  readonly isNamed: boolean;
}

function drawPiece(piece: MarkerContentPiece, outline: readonly Point[], widths: TextWidths): DrawnPiece {
  const kind = hatchOf(piece.garment);
  const strokes = kind === undefined ? [] : hatchStrokes(outline, kind);
  const pen = kind?.dashMm === undefined ? PENS.hatch : { ...PENS.hatch, dashMm: kind.dashMm };
  const hatch = strokes.length === 0 ? [] : [strokeMark(strokes, pen)];
  const cut = [fillMark(polygon(outline), 'white'), ...hatch, strokeMark(polygon(outline), PENS.cut)];
  const number = String(piece.garment + 1);
  const texts = [...LABEL_STYLES.map((style) => ({ text: `${number} ${piece.name}`, style }))];
  texts.push(...LABEL_STYLES.map((style) => ({ text: number, style })));
  for (const { text, style } of texts) {
    const widthMm = textWidthMm(text, style, widths) + 2;
    const heightMm = style.sizeMm * 2;
    const spot = labelSpot(outline, widthMm, heightMm);
    if (spot === undefined) continue;
    return { cut, label: labelMarks({ text, style, widthMm, heightMm, spot }, piece, widths), isNamed: true };
  }
  return { cut, label: [], isNamed: false };
}

interface PlacedLabel {
  readonly text: string;
  readonly style: TextStyle;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly spot: LabelSpot;
}

/** The name on white, and under it an arrow along the grain, so that the nap is seen on the cutting table. */
function labelMarks(
  { text, style, widthMm, heightMm, spot }: PlacedLabel,
  { grainRad }: MarkerContentPiece,
  widths: TextWidths,
): Mark[] {
  const { at, angleRad } = spot;
  const [cos, sin] = [Math.cos(angleRad), Math.sin(angleRad)];
  const place = (u: number, v: number): Point => ({
    x: at.x + u * cos - v * sin,
    y: at.y + u * sin + v * cos,
  });
  const [half, high] = [widthMm / 2, heightMm / 2];
  const box = [place(-half, -high), place(half, -high), place(half, high), place(-half, high)];
  const middle = place(0, -high + 0.3 * style.sizeMm);
  const reach = Math.min(half, heightMm) * 0.8;
  return [
    fillMark(polygon(box), 'white'),
    textMark(text, style, { at: place(0, -0.15 * style.sizeMm), anchor: 'middle', angleRad }, widths),
    strokeMark(
      arrow(middle, grainRad, isAlong(grainRad, angleRad) ? reach : 0.25 * style.sizeMm),
      PENS.grain,
    ),
  ];
}

function isAlong(grainRad: number, angleRad: number): boolean {
  return Math.abs(Math.cos(grainRad - angleRad)) > 0.7;
}

function arrow({ x, y }: Point, angleRad: number, reachMm: number): Curve[] {
  const at = (u: number, v: number): Point => ({
    x: x + u * Math.cos(angleRad) - v * Math.sin(angleRad),
    y: y + u * Math.sin(angleRad) + v * Math.cos(angleRad),
  });
  const head = Math.min(1.4, reachMm);
  return [
    line(at(-reachMm, 0), at(reachMm, 0)),
    ...polyline([at(reachMm - head, head / 3), at(reachMm, 0), at(reachMm - head, -head / 3)]),
  ];
}

function clothMarks({ cloth }: MarkerContent, toPage: (p: Point) => Point): Mark[] {
  const box = (left: number, bottom: number, right: number, top: number): Curve[] => {
    const [low, high] = [toPage({ x: left, y: bottom }), toPage({ x: right, y: top })];
    return rectangle(low.x, low.y, high.x, high.y);
  };
  const { width, length, selvedge, endMargin } = cloth;
  const marks: Mark[] = [strokeMark(box(0, 0, length, width), PENS.edge)];
  if (selvedge > 0 || endMargin > 0) {
    const inner = box(endMargin, selvedge, length - endMargin, width - selvedge);
    marks.push(strokeMark(inner, PENS.margin));
  }
  const repeats = repeatLines(cloth).map(([a, b]) => line(toPage(a), toPage(b)));
  return repeats.length === 0 ? marks : [strokeMark(repeats, PENS.repeat), ...marks];
}

function repeatLines({ width, length, repeatAlong, repeatAcross }: MarkerContent['cloth']): [Point, Point][] {
  const levels = (repeat: number, to: number): number[] => {
    if (repeat <= 0 || to / repeat > REPEAT_LINES_MAX) return [];
    return Array.from({ length: Math.floor(to / repeat) }, (_, i) => (i + 1) * repeat);
  };
  return [
    ...levels(repeatAlong, length).map((x): [Point, Point] => [
      { x, y: 0 },
      { x, y: width },
    ]),
    ...levels(repeatAcross, width).map((y): [Point, Point] => [
      { x: 0, y },
      { x: length, y },
    ]),
  ];
}

interface Notes {
  readonly content: MarkerContent;
  readonly facts: readonly string[];
  readonly unnamed: number;
  readonly scale: Scale;
  readonly top: number;
}

function noteMarks({ content, facts, unnamed, scale, top }: Notes, widths: TextWidths): Mark[] {
  const left = unnamed === 0 ? '' : ` · ${unnamed} pieces are too small for a name`;
  const rows: [string, TextStyle][] = [
    [content.reference, NOTE.head],
    [`scale ${scale.says}${left}`, NOTE.row],
    ...facts.map((fact): [string, TextStyle] => [fact, NOTE.row]),
  ];
  return rows.map(([text, style], i) =>
    textMark(text, style, { at: { x: MARGIN_MM, y: top - i * ROW_MM } }, widths),
  );
}

interface Legend {
  readonly columns: number;
  readonly rows: number;
}

function legendRows(garments: readonly string[], widthMm: number): Legend {
  const columns = Math.max(1, Math.floor(widthMm / LEGEND_COLUMN_MM));
  return { columns, rows: Math.ceil(garments.length / columns) };
}

function legendMarks(
  garments: readonly string[],
  { columns }: Legend,
  top: number,
  widths: TextWidths,
): Mark[] {
  const room = LEGEND_COLUMN_MM - SWATCH_MM.wide - 4;
  return garments.flatMap((name, i) => {
    const x = MARGIN_MM + (i % columns) * LEGEND_COLUMN_MM;
    const y = top - Math.floor(i / columns) * ROW_MM - SWATCH_MM.high;
    const corners = [
      { x, y },
      { x: x + SWATCH_MM.wide, y },
      { x: x + SWATCH_MM.wide, y: y + SWATCH_MM.high },
      { x, y: y + SWATCH_MM.high },
    ];
    const kind = hatchOf(i);
    const pen = kind?.dashMm === undefined ? PENS.hatch : { ...PENS.hatch, dashMm: kind.dashMm };
    const text = shortened(`${i + 1} ${name}`, room, NOTE.row, widths);
    return [
      ...(kind === undefined ? [] : [strokeMark(hatchStrokes(corners, kind), pen)]),
      strokeMark(polygon(corners), PENS.hatch),
      textMark(text, NOTE.row, { at: { x: x + SWATCH_MM.wide + 2, y: y + 1.5 } }, widths),
    ];
  });
}
