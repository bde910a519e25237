import {
  along,
  direction,
  distance,
  endOf,
  flatten,
  leftOf,
  line,
  mapCurve,
  startOf,
  type Curve,
  type Point,
} from '#geometry';
import type { CutPiece } from '#finishing';
import { boundsOfPoints, boxMeetsLine, type Bounds, type Box } from './box.js';
import { drillCurves, notchCurves } from './cut-piece-drawing.js';
import { BAR_ROOM_MM, SQUARE_MM, testMarks } from './cut-sheets.js';
import {
  polygon,
  polyline,
  rectangle,
  strokeMark,
  textMark,
  type Layer,
  type Mark,
  type Sheet,
} from './display-list.js';
import { labelSpot } from './label-spot.js';
import { CUT_PENS, MARKER_PENS, TRUE_SIZE_PENS as PENS } from './pens.js';
import { textWidthMm, wrapText, type TextStyle, type TextWidths } from './text-widths.js';

/** A marker at true size; lengths in millimetres. */
export interface MarkerRollContent {
  readonly reference: string;
  readonly cloth: {
    readonly widthMm: number;
    readonly lengthMm: number;
    readonly selvedgeMm: number;
    readonly endMarginMm: number;
  };
  readonly pieces: readonly MarkerRollPiece[];
  /** Figures and remarks, a line each. */
  readonly facts: readonly string[];
}

export interface MarkerRollPiece {
  /** As it lies on the cloth. */
  readonly piece: CutPiece;
  /** Number of its garment, from 1. */
  readonly garment: number;
  readonly name: string;
  /** Order line and size. */
  readonly reference: string;
}

const MARGIN_MM = 15;
const NOTES_MM = SQUARE_MM + BAR_ROOM_MM + 14;
const LATER_NOTES_MM = 24;
const CROSS_MM = 20;
const GRAIN_HEAD_MM = 7;
const ROW_PITCH = 1.4;

const TEXT = {
  reference: { sizeMm: 9, weight: 'semibold' },
  row: { sizeMm: 5, weight: 'regular' },
} as const satisfies Record<string, TextStyle>;

/** Labels from the largest that is worth reading from across the table to the smallest that can be read at all. */
const LABEL_SIZES_MM = [16, 11, 7.5, 5, 3.4, 2.4];

/**
 * A marker at true size, to be rolled out on the cloth or cut along: one page, or as many as `sectionMm` asks for.
 *
 * Shape   the length of the cloth runs from left to right; pages abut at a line with crosses in both edges and nothing is
 *         drawn twice beyond it. Below the cloth: test square and facts on the first page, the section's place on all.
 *         Each piece carries its garment's number and name, and order and size where there is room.
 */
export function markerRollSheets(content: MarkerRollContent, sectionMm: number, widths: TextWidths): Sheet[] {
  const { lengthMm, widthMm } = content.cloth;
  const count = Math.max(1, Math.ceil(lengthMm / sectionMm));
  const labels = content.pieces.map((piece) => labelOf(piece, widths));
  return Array.from({ length: count }, (_, page) => {
    const from = (page * lengthMm) / count;
    const section: Section = { page, count, from, to: ((page + 1) * lengthMm) / count };
    const notesMm = page === 0 ? NOTES_MM : LATER_NOTES_MM;
    const origin = { x: MARGIN_MM - section.from, y: MARGIN_MM + notesMm };
    const move = ({ x, y }: Point): Point => ({ x: x + origin.x, y: y + origin.y });
    const clip: Bounds = {
      left: MARGIN_MM,
      right: MARGIN_MM + section.to - section.from,
      bottom: origin.y,
      top: origin.y + widthMm,
    };
    const inSection = content.pieces.flatMap((piece, i) =>
      meets(piece.piece, section) ? [{ piece, label: labels[i] }] : [],
    );
    const pieces = inSection.flatMap(({ piece: { piece }, label }) => pieceMarks(piece, label));
    const texts = inSection.flatMap(({ label }) => label?.marks ?? []);
    const only: { readonly clip?: Bounds } = count === 1 ? {} : { clip };
    const layers: Layer[] = [
      { id: 'cloth', marks: clothMarks(content, clip, section) },
      { id: 'pieces', marks: pieces.map((mark) => moved(mark, move)), ...only },
      { id: 'labels', marks: texts.map((mark) => moved(mark, move)), ...only },
      { id: 'notes', marks: noteMarks(content, section, origin.y - 6, widths) },
      { id: 'test-square', marks: page === 0 ? testMarks(MARGIN_MM, MARGIN_MM, widths) : [] },
    ];
    const place = count === 1 ? '' : `, section ${page + 1} of ${count}`;
    return {
      widthMm: Math.max(Math.ceil(clip.right + MARGIN_MM), 2 * SQUARE_MM + NOTES_WIDTH_MM_MIN),
      heightMm: Math.ceil(clip.top + MARGIN_MM),
      title: `Marker ${content.reference}${place}`,
      layers,
    };
  });
}

const NOTES_WIDTH_MM_MIN = 150;

interface Section {
  readonly page: number;
  readonly count: number;
  readonly from: number;
  readonly to: number;
}

function meets({ cut }: CutPiece, { from, to }: Section): boolean {
  const { left, right } = boundsOfPoints(cut.map(({ at }) => at));
  return right >= from && left <= to;
}

function pieceMarks(piece: CutPiece, label: Label | undefined): Mark[] {
  // Lines that are drawn and not cut break at the label, as on any drawing.
  const inner = piece.lines.flatMap(({ role, curves }) => {
    const pen =
      role === 'fold' ? CUT_PENS.fold : role === 'crease' || role === 'grain' ? undefined : PENS.stitch;
    const kept =
      pen === undefined ? [] : curves.flatMap((curve) => outside(flatten(curve, CHORD_MM), label?.box));
    return pen === undefined || kept.length === 0 ? [] : [strokeMark(kept, pen)];
  });
  const notches = [
    ...piece.notches.flatMap(notchCurves),
    ...piece.drillHoles.flatMap(({ at, diameterMm }) => drillCurves(at, diameterMm)),
  ];
  const [from, to] = grainBeside(piece.grain, label?.box);
  return [
    ...inner,
    ...(notches.length === 0 ? [] : [strokeMark(notches, PENS.notch)]),
    strokeMark(polygon(piece.cut.map(({ at }) => at)), CUT_PENS.cut),
    strokeMark(arrow(from, to), PENS.grain),
  ];
}

/** One head only: with a nap it matters which way a piece lies. */
function arrow(from: Point, to: Point): Curve[] {
  const towards = direction(from, to);
  const back = along(to, towards, -GRAIN_HEAD_MM);
  const side = leftOf(towards);
  const wing = (by: number): Point => along(back, side, by);
  return [line(from, to), ...polyline([wing(GRAIN_HEAD_MM / 3), to, wing(-GRAIN_HEAD_MM / 3)])];
}

/** Chords of lines that are only drawn. */
const CHORD_MM = 0.1;
/** Steps in which a line is followed past a label. */
const STEP_MM = 1;
/** An arrow shorter than this is not read as one. */
const GRAIN_MM_MIN = 22;

/** A chain of points as lines, without what lies in a box. */
function outside(chain: readonly Point[], box: Box | undefined): Curve[] {
  if (box === undefined) return polyline(chain);
  return chain.slice(1).flatMap((p1, k) => {
    const p0 = chain[k];
    const steps = Math.max(1, Math.ceil(Math.hypot(p1.x - p0.x, p1.y - p0.y) / STEP_MM));
    const at = (i: number): Point => ({
      x: p0.x + ((p1.x - p0.x) * i) / steps,
      y: p0.y + ((p1.y - p0.y) * i) / steps,
    });
    const runs: [number, number][] = [];
    for (let i = 0; i < steps; i++) {
      if (boxMeetsLine(box, at(i), at(i + 1))) continue;
      const last = runs.at(-1);
      if (last !== undefined && last[1] === i) last[1] = i + 1;
      else runs.push([i, i + 1]);
    }
    return runs.map(([i, j]) => line(at(i), at(j)));
  });
}

/** The longest part of the grain arrow that a label leaves; all of it where that is too short for an arrow. */
function grainBeside(grain: CutPiece['grain'], box: Box | undefined): readonly [Point, Point] {
  const longest = longestBeside(grain, box);
  return box === undefined || isArrow(longest, grain) ? longest : grain;
}

function leavesGrain(grain: CutPiece['grain'], box: Box): boolean {
  return isArrow(longestBeside(grain, box), grain);
}

function longestBeside([from, to]: CutPiece['grain'], box: Box | undefined): readonly [Point, Point] {
  const parts = outside([from, to], box).map((part): [Point, Point] => [startOf(part), endOf(part)]);
  return parts.reduce((best, part) => (distance(...part) > distance(...best) ? part : best), [from, from]);
}

function isArrow(part: readonly [Point, Point], grain: CutPiece['grain']): boolean {
  return distance(...part) >= Math.min(GRAIN_MM_MIN, distance(...grain) / 2);
}

interface Label {
  readonly marks: readonly Mark[];
  readonly box: Box;
}

/**
 * The largest label that lies wholly within the piece: with order and size if they fit, else the name, else the number;
 * rather a smaller one that leaves the grain arrow its room.
 */
function labelOf(content: MarkerRollPiece, widths: TextWidths): Label | undefined {
  const outline = content.piece.cut.map(({ at }) => at);
  let first: Label | undefined;
  for (const rows of formsOf(content)) {
    for (const sizeMm of LABEL_SIZES_MM) {
      const label = labelWithin(outline, rows, sizeMm, widths);
      if (label === undefined) continue;
      if (leavesGrain(content.piece.grain, label.box)) return label;
      first ??= label;
    }
  }
  return first;
}

function formsOf({ garment, name, reference }: MarkerRollPiece): string[][] {
  return [[`${garment} ${name}`, reference], [`${garment} ${name}`], [String(garment)]];
}

function labelWithin(
  outline: readonly Point[],
  rows: readonly string[],
  sizeMm: number,
  widths: TextWidths,
): Label | undefined {
  const style: TextStyle = { sizeMm, weight: 'semibold' };
  const widthMm = Math.max(...rows.map((text) => textWidthMm(text, style, widths))) + sizeMm / 2;
  const heightMm = (rows.length * ROW_PITCH + 0.4) * sizeMm;
  const spot = labelSpot(outline, widthMm, heightMm);
  if (spot === undefined) return undefined;
  const { at: centre, angleRad } = spot;
  const up = { x: -Math.sin(angleRad), y: Math.cos(angleRad) };
  const marks = rows.map((text, i) => {
    const by = ((rows.length - 1) / 2 - i) * ROW_PITCH * sizeMm - 0.35 * sizeMm;
    return textMark(text, style, { at: along(centre, up, by), anchor: 'middle', angleRad }, widths);
  });
  return { marks, box: { centre, halfWidthMm: widthMm / 2, halfHeightMm: heightMm / 2, angleRad } };
}

function moved(mark: Mark, move: (p: Point) => Point): Mark {
  if (mark.kind === 'text') return { ...mark, at: move(mark.at) };
  return { ...mark, curves: mark.curves.map((curve) => mapCurve(curve, move)) };
}

function clothMarks({ cloth }: MarkerRollContent, clip: Bounds, { page, count, from, to }: Section): Mark[] {
  const { left, right, bottom, top } = clip;
  const { selvedgeMm, endMarginMm, lengthMm } = cloth;
  const [isFirst, isLast] = [page === 0, page === count - 1];
  const ends = [
    ...(isFirst ? [line({ x: left, y: bottom }, { x: left, y: top })] : []),
    ...(isLast ? [line({ x: right, y: bottom }, { x: right, y: top })] : []),
  ];
  const edges = [
    line({ x: left, y: bottom }, { x: right, y: bottom }),
    line({ x: left, y: top }, { x: right, y: top }),
  ];
  const margins: Curve[] = [];
  if (selvedgeMm > 0)
    for (const y of [bottom + selvedgeMm, top - selvedgeMm])
      margins.push(line({ x: left, y }, { x: right, y }));
  for (const at of endMarginMm > 0 ? [endMarginMm, lengthMm - endMarginMm] : []) {
    if (at < from || at > to) continue;
    const x = left + at - from;
    margins.push(line({ x, y: bottom }, { x, y: top }));
  }
  const joins = [...(isFirst ? [] : [left]), ...(isLast ? [] : [right])];
  const crosses = joins.flatMap((x) => [bottom, top].flatMap((y) => crossAt({ x, y })));
  const joinLines = joins.map((x) => line({ x, y: bottom }, { x, y: top }));
  return [
    strokeMark([...edges, ...ends], PENS.seam),
    ...(margins.length === 0 ? [] : [strokeMark(margins, MARKER_PENS.margin)]),
    ...(joins.length === 0
      ? []
      : [strokeMark(joinLines, CUT_PENS.frame), strokeMark(crosses, CUT_PENS.registration)]),
  ];
}

function crossAt({ x, y }: Point): Curve[] {
  const r = CROSS_MM / 2;
  return [
    line({ x: x - r, y }, { x: x + r, y }),
    line({ x, y: y - r }, { x, y: y + r }),
    ...rectangle(x - 2, y - 2, x + 2, y + 2),
  ];
}

function noteMarks(content: MarkerRollContent, section: Section, top: number, widths: TextWidths): Mark[] {
  const { page, count, from, to } = section;
  const at =
    count === 1
      ? []
      : [
          `section ${page + 1} of ${count}, from ${from.toFixed(0)} to ${to.toFixed(0)} mm; lay the crosses of ` +
            'neighbouring sections over each other',
        ];
  const room = Math.max(to - from, NOTES_WIDTH_MM_MIN + SQUARE_MM) - SQUARE_MM - 10;
  const facts =
    page === 0 ? ['true size: if a side of the square is not 100 mm, do not cut', ...content.facts] : [];
  const rows: [string, TextStyle][] = [
    [content.reference, TEXT.reference],
    ...[...at, ...facts]
      .flatMap((text) => wrapText(text, room, TEXT.row, widths))
      .map((text): [string, TextStyle] => [text, TEXT.row]),
  ];
  const left = page === 0 ? MARGIN_MM + SQUARE_MM + 10 : MARGIN_MM;
  let y = top;
  return rows.map(([text, style]) => {
    y -= style.sizeMm * 1.35;
    return textMark(text, style, { at: { x: left, y } }, widths);
  });
}
