import { add, along, line, mapCurve, pointAt, type Curve, type Point } from '#geometry';
import type { Finding } from '#pattern';
import type { Bounds } from './box.js';
import {
  fillMark,
  rectangle,
  strokeMark,
  textMark,
  type Layer,
  type Mark,
  type Sheet,
} from './display-list.js';
import { layFindings } from './finding-list.js';
import { PENS, TEXT } from './pens.js';
import type { CheckState } from './proof-content.js';
import { PAGE } from './proof-plan.js';
import { findingSign, grainMarks, stateMarks } from './signs.js';
import { layTable, stack, type Strip, type Table } from './table.js';
import { shortened, textWidthMm, type TextWidths } from './text-widths.js';

/** A pattern from outside as it was judged, ready to be drawn. */
export interface CheckContent {
  readonly reference: string;
  /** One line: sewable or not, and what was judged. */
  readonly verdict: string;
  readonly sewable: boolean;
  readonly pieces: readonly CheckContentPiece[];
  readonly seams: readonly CheckContentSeam[];
  readonly corners: readonly {
    readonly name: string;
    readonly sumDeg: number;
    readonly targetDeg: number;
    readonly state: CheckState;
  }[];
  readonly findings: readonly CheckContentFinding[];
  readonly engine: string;
}

export interface CheckContentPiece {
  readonly id: string;
  readonly name: string;
  readonly cut: readonly Curve[];
  /** The seam line in parts, each in its state. */
  readonly seams: readonly { readonly curves: readonly Curve[]; readonly state: CheckState }[];
  readonly lines: readonly Curve[];
  readonly notches: readonly { readonly at: Point; readonly inwards: Point; readonly depthMm: number }[];
  readonly grain: readonly [Point, Point] | undefined;
}

/** Two seams to be laid along each other, from the end they share. */
export interface CheckContentSeam {
  readonly name: string;
  readonly first: CheckContentSide;
  readonly second: CheckContentSide;
  readonly state: CheckState;
}

export interface CheckContentSide {
  readonly name: string;
  readonly lengthMm: number;
  /** Notches by their distance from the shared end. */
  readonly notchesMm: readonly number[];
}

export interface CheckContentFinding {
  readonly number: number;
  readonly finding: Finding;
  readonly piece?: string;
  readonly at?: Point;
}

const MARGIN = 8;
const DRAWING: Bounds = { left: MARGIN, right: 268, bottom: 74, top: PAGE.heightMm - MARGIN };
const SEAMS: Bounds = { left: MARGIN, right: 268, bottom: MARGIN, top: 68 };
const COLUMN: Bounds = {
  left: 276,
  right: PAGE.widthMm - MARGIN,
  bottom: MARGIN,
  top: PAGE.heightMm - MARGIN,
};

const OFF_PEN = { widthMm: 0.9, ink: 'black', dashMm: [2.4, 1] } as const;
const CUT_PEN = { widthMm: 0.18, ink: 'grey' } as const;

/**
 * The drawing of a checked pattern: every piece with the state of its seams, the seams that are sewn to each other laid
 * along each other, and the tables to sign.
 *
 * Shape   A3 lying. Seams that hold are drawn solid, those that are off broken, heavier and with a cross: tone and
 *         weight are never the only sign. Findings carry their number at their place. Under the pieces each pair of
 *         seams lies as two bars from the end they share, with their notches; what one is longer is hatched.
 * Edges   pieces are laid in rows at one scale, the largest at which all fit; what does not fit in the column is counted
 *         there and stands in the report. Names come from the file, however long: what does not fit of them is cut off
 *         with an ellipsis.
 */
export function checkSheet(content: CheckContent, widths: TextWidths): Sheet {
  const plan = planPieces(content.pieces, widths);
  const column = layColumn(content, widths);
  const layers: Layer[] = [
    { id: 'pieces', marks: content.pieces.flatMap((piece) => pieceMarks(piece, plan, widths)) },
    { id: 'signs', marks: signMarks(content, plan, column.listed, widths) },
    { id: 'seams', marks: seamBars(content.seams, widths) },
    { id: 'tables', marks: column.marks },
    { id: 'notes', marks: noteMarks(content, plan, widths) },
  ];
  return { ...PAGE, title: `Check ${content.reference}`, layers };
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
const NAME_MM = 5;
const SCALES = [
  2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500, 1000, 2000, 5000, 10_000, 20_000,
];
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

/** Rows from the top down, tallest pieces first, at the largest scale of the list that holds them all. */
function planPieces(pieces: readonly CheckContentPiece[], widths: TextWidths): Plan {
  const sized = pieces
    .map((piece) => ({ piece, extent: extentOf(piece) }))
    .sort((a, b) => b.extent.height - a.extent.height)
    .slice(0, PIECES_DRAWN_MAX);
  for (const scale of SCALES) {
    const place = new Map<string, (p: Point) => Point>();
    let [x, top, rowMm] = [DRAWING.left, DRAWING.top, 0];
    let fits = true;
    for (const { piece, extent } of sized) {
      const drawnMm = extent.width / scale;
      const [width, height] = [slotMm(piece.name, drawnMm, widths), extent.height / scale + NAME_MM];
      if (x > DRAWING.left && x + width > DRAWING.right)
        [x, top, rowMm] = [DRAWING.left, top - rowMm - GAP_MM, 0];
      const origin = { x, y: top - height };
      fits &&= x + width <= DRAWING.right && origin.y >= DRAWING.bottom;
      place.set(piece.id, (p) => ({
        x: origin.x + (width - drawnMm) / 2 + (p.x - extent.left) / scale,
        y: origin.y + NAME_MM + (p.y - extent.bottom) / scale,
      }));
      x += width + GAP_MM;
      rowMm = Math.max(rowMm, height);
    }
    if (fits || scale === SCALES[SCALES.length - 1]) return { scale, place };
  }
  return { scale: 1, place: new Map() };
}

const GRAIN_HEAD_MM = 2;
const NOTCH_MM = 1.6;

function pieceMarks(piece: CheckContentPiece, { place, scale }: Plan, widths: TextWidths): Mark[] {
  const to = place.get(piece.id);
  if (to === undefined) return [];
  const drawn = (curves: readonly Curve[]): Curve[] => curves.map((curve) => mapCurve(curve, to));
  const { left, bottom, width } = extentOf(piece);
  const name = to({ x: left + width / 2, y: bottom });
  return [
    ...(piece.cut.length === 0 ? [] : [strokeMark(drawn(piece.cut), CUT_PEN)]),
    ...(piece.lines.length === 0 ? [] : [strokeMark(drawn(piece.lines), PENS.balance)]),
    ...piece.seams.flatMap(({ curves, state }): Mark[] => [
      strokeMark(drawn(curves), state === 'off' ? OFF_PEN : PENS.seam),
      ...(state === 'off' ? crossOn(drawn(curves)) : []),
    ]),
    ...piece.notches.map(({ at, inwards }) => {
      const from = to(at);
      return strokeMark([line(from, along(from, inwards, NOTCH_MM))], PENS.notch);
    }),
    ...(piece.grain === undefined ? [] : grainMarks(to(piece.grain[0]), to(piece.grain[1]), GRAIN_HEAD_MM)),
    textMark(
      shortened(piece.name, slotMm(piece.name, width / scale, widths), TEXT.label, widths),
      TEXT.label,
      { at: { x: name.x, y: name.y - 3.6 }, anchor: 'middle' },
      widths,
    ),
  ];
}

/** As much of a name as is kept under a piece that is narrower; a wide piece has room for more. */
const NAME_ROOM_MM = 18;

/** The width that a piece takes with its name. */
function slotMm(name: string, drawnMm: number, widths: TextWidths): number {
  return Math.max(drawnMm, Math.min(textWidthMm(name, TEXT.label, widths), NAME_ROOM_MM));
}

/** The cross of a seam that is off stands beside the middle of it. */
function crossOn(curves: readonly Curve[]): Mark[] {
  const middle = curves[Math.floor(curves.length / 2)];
  return middle === undefined ? [] : stateMarks('off', add(pointAt(middle, 0.5), { x: 2.2, y: 0 }));
}

const SIGN_STEP_MM = 5.4;

function signMarks(
  content: CheckContent,
  { place }: Plan,
  listed: ReadonlySet<number>,
  widths: TextWidths,
): Mark[] {
  const taken: Point[] = [];
  return content.findings.flatMap(({ number, finding, piece, at }) => {
    const to = piece === undefined ? undefined : place.get(piece);
    if (to === undefined || at === undefined || !listed.has(number)) return [];
    const point = to(at);
    const spot = freeSpot(point, taken);
    taken.push(spot);
    const leader = strokeMark([line(point, spot)], PENS.leader);
    return [leader, ...findingSign(finding.level, number, spot, widths)];
  });
}

/** The nearest of a ring of places that no other sign has taken. */
function freeSpot(point: Point, taken: readonly Point[]): Point {
  const clear = (spot: Point): boolean =>
    spot.x > DRAWING.left &&
    spot.x < DRAWING.right &&
    spot.y > DRAWING.bottom - 4 &&
    spot.y < DRAWING.top &&
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

const BAR_MM = 2.2;
const PAIR_MM = 11.5;
const BAR_NAME_MM = 44;
const SIDE_NAME_MM = 20;
const SHOWN_MAX = 5;
/** A difference is drawn at least this long, so that it is seen at all. */
const GAP_SEEN_MM = 0.6;

function seamBars(seams: readonly CheckContentSeam[], widths: TextWidths): Mark[] {
  const shown = [...seams]
    .sort((a, b) => Number(b.state === 'off') - Number(a.state === 'off'))
    .slice(0, SHOWN_MAX);
  if (shown.length === 0) return [];
  const longest = Math.max(...shown.flatMap(({ first, second }) => [first.lengthMm, second.lengthMm]));
  const room = SEAMS.right - SEAMS.left - BAR_NAME_MM - 34;
  const unit = room / longest;
  const heading = textMark(
    'Seams laid along each other, from the end they share',
    TEXT.heading,
    { at: { x: SEAMS.left, y: SEAMS.top - 3 } },
    widths,
  );
  return [heading, ...shown.flatMap((seam, i) => pairMarks(seam, SEAMS.top - 8 - i * PAIR_MM, unit, widths))];
}

function pairMarks(
  { name, first, second, state }: CheckContentSeam,
  top: number,
  unit: number,
  widths: TextWidths,
): Mark[] {
  const left = SEAMS.left + BAR_NAME_MM;
  const bars = [first, second].flatMap((side, row): Mark[] => {
    const y = top - row * (BAR_MM + 1.2) - BAR_MM;
    const end = left + side.lengthMm * unit;
    return [
      strokeMark(rectangle(left, y, end, y + BAR_MM), PENS.rule),
      ...side.notchesMm.map((mm) =>
        strokeMark([line({ x: left + mm * unit, y }, { x: left + mm * unit, y: y + BAR_MM })], PENS.notch),
      ),
      textMark(
        shortened(`${side.name}  ${side.lengthMm.toFixed(1)}`, SIDE_NAME_MM, TEXT.small, widths),
        TEXT.small,
        { at: { x: left - 2, y: y + 0.4 }, anchor: 'end' },
        widths,
      ),
    ];
  });
  const difference = second.lengthMm - first.lengthMm;
  const shorter = left + Math.min(first.lengthMm, second.lengthMm) * unit;
  const overMm = Math.max(GAP_SEEN_MM, Math.abs(difference) * unit);
  const y = top - (difference > 0 ? BAR_MM + 1.2 : 0) - BAR_MM;
  const over =
    Math.abs(difference) < 0.05
      ? []
      : [fillMark(rectangle(shorter, y, shorter + overMm, y + BAR_MM), state === 'off' ? 'black' : 'pale')];
  const right = left + Math.max(first.lengthMm, second.lengthMm) * unit + 5;
  const words = `${difference >= 0.05 ? '+' : ''}${Math.abs(difference) < 0.05 ? '0.0' : difference.toFixed(1)} mm`;
  return [
    ...bars,
    ...over,
    ...stateMarks(state, { x: right, y: top - BAR_MM - 0.6 }),
    textMark(
      words,
      state === 'off' ? TEXT.labelStrong : TEXT.label,
      { at: { x: right + 2.4, y: top - BAR_MM - 1.4 } },
      widths,
    ),
    textMark(
      shortened(name, BAR_NAME_MM - SIDE_NAME_MM - 4, TEXT.labelStrong, widths),
      TEXT.labelStrong,
      { at: { x: SEAMS.left, y: top - BAR_MM - 1.4 } },
      widths,
    ),
  ];
}

interface LaidColumn {
  readonly marks: readonly Mark[];
  readonly listed: ReadonlySet<number>;
}

const SIGNATURE_MM = 13;
const TABLES_GAP_MM = 3;

function layColumn(content: CheckContent, widths: TextWidths): LaidColumn {
  const head = headMarks(content, widths);
  const tables = [seamTable(content), cornerTable(content)].filter(({ rows }) => rows.length > 0);
  const laid = stack(
    tables.map((table) => (strip: Strip) => layTable(table, strip, widths)),
    { left: COLUMN.left, right: COLUMN.right, top: COLUMN.top - 22 },
    TABLES_GAP_MM,
  );
  const area = { ...COLUMN, top: COLUMN.top - 22 - laid.heightMm, bottom: COLUMN.bottom + SIGNATURE_MM };
  const list = layFindings(content.findings, area, widths, 'the report');
  return {
    marks: [...head, ...laid.marks, ...list.marks, ...signature(content, widths)],
    listed: new Set(list.listed.map(({ number }) => number)),
  };
}

function headMarks({ reference, verdict, sewable }: CheckContent, widths: TextWidths): Mark[] {
  const { left, top } = COLUMN;
  return [
    textMark(
      shortened(reference, COLUMN.right - left, TEXT.reference, widths),
      TEXT.reference,
      { at: { x: left, y: top - 6 } },
      widths,
    ),
    textMark('Check of a pattern from outside', TEXT.title, { at: { x: left, y: top - 11 } }, widths),
    ...stateMarks(sewable ? 'ok' : 'off', { x: left + 1.2, y: top - 15.2 }),
    textMark(verdict, TEXT.verdict, { at: { x: left + 4, y: top - 16.4 } }, widths),
  ];
}

/** What a trouser has is half of it; of a hundred stated seams the rest stands in the report. */
const SEAM_ROWS_MAX = 16;
const SEAM_NAME_LETTERS = 40;

function seamTable({ seams }: CheckContent): Table {
  const shown = [...seams]
    .sort((a, b) => Number(b.state === 'off') - Number(a.state === 'off'))
    .slice(0, SEAM_ROWS_MAX)
    .sort((a, b) => seams.indexOf(a) - seams.indexOf(b));
  const mm = (value: number): string => plain(value);
  return {
    heading: 'Seams (mm)',
    columns: [
      { head: 'Seam', align: 'start' },
      { head: 'First', align: 'end' },
      { head: 'Second', align: 'end' },
      { head: 'Differs', align: 'end' },
      { head: 'State', align: 'end' },
    ],
    rows: shown.map(({ name, first, second, state }) => [
      name.length > SEAM_NAME_LETTERS ? `${name.slice(0, SEAM_NAME_LETTERS)}…` : name,
      mm(first.lengthMm),
      mm(second.lengthMm),
      mm(second.lengthMm - first.lengthMm),
      { state },
    ]),
    ...(shown.length < seams.length ? { note: `${seams.length - shown.length} more in the report` } : {}),
  };
}

function cornerTable({ corners }: CheckContent): Table {
  return {
    heading: 'Corners once sewn (degrees)',
    columns: [
      { head: 'Corner', align: 'start' },
      { head: 'Is', align: 'end' },
      { head: 'Should be', align: 'end' },
      { head: 'Differs', align: 'end' },
      { head: 'State', align: 'end' },
    ],
    rows: corners.map(({ name, sumDeg, targetDeg, state }) => [
      name,
      sumDeg.toFixed(1),
      targetDeg.toFixed(0),
      plain(sumDeg - targetDeg),
      { state },
    ]),
  };
}

/** One decimal, and never "-0.0". */
function plain(value: number): string {
  const text = value.toFixed(1);
  return Number(text) === 0 ? '0.0' : text;
}

function signature({ engine }: CheckContent, widths: TextWidths): Mark[] {
  const { left, right, bottom } = COLUMN;
  const y = bottom + 4.5;
  return [
    strokeMark(
      [line({ x: left, y }, { x: left + 62, y }), line({ x: left + 70, y }, { x: right, y })],
      PENS.rule,
    ),
    textMark('Checked by', TEXT.small, { at: { x: left, y: y - 2.8 } }, widths),
    textMark('Date', TEXT.small, { at: { x: left + 70, y: y - 2.8 } }, widths),
    textMark(engine, TEXT.small, { at: { x: right, y: y - 2.8 }, anchor: 'end' }, widths),
  ];
}

function noteMarks({ seams, pieces }: CheckContent, { scale }: Plan, widths: TextWidths): Mark[] {
  const undrawn = pieces.length - PIECES_DRAWN_MAX;
  const unshown = seams.length - SHOWN_MAX;
  const text = [
    `Pieces 1:${scale}; cut line grey, seams that hold solid, seams that are off broken with a cross.`,
    ...(undrawn > 0 ? [`${undrawn} smaller pieces are not drawn.`] : []),
    ...(unshown > 0
      ? [`${unshown} more seams in the ${seams.length > SEAM_ROWS_MAX ? 'report' : 'table'}.`]
      : []),
  ].join(' ');
  return [textMark(text, TEXT.small, { at: { x: DRAWING.left, y: DRAWING.bottom - 2.6 } }, widths)];
}
