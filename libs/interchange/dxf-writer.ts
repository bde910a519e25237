import { distance, endOf, flatten, startOf, type Curve, type Point } from '#geometry';
import type { CutPiece } from '#finishing';
import { fixedText } from './decimal-text.js';
import { sevenBit } from './seven-bit.js';

/** Layers of ASTM D6673-10 that are written. */
export const DXF_LAYERS = {
  boundary: 1,
  turnPoints: 2,
  curvePoints: 3,
  notches: 4,
  grain: 7,
  internalLines: 8,
  drillHoles: 13,
  sewLines: 14,
  annotation: 15,
  validatedBoundary: 84,
  validatedInternal: 85,
  validatedSewLines: 87,
} as const;

export interface DxfPattern {
  /** The style's name: the order's reference. */
  readonly styleName: string;
  /** Name and version of the engine. */
  readonly author: string;
  readonly sampleSize: string;
  /** YYYY-MM-DD. */
  readonly dated?: string;
  /** What the cloth is called. */
  readonly material: string;
  readonly pieces: readonly CutPiece[];
}

export interface DxfOptions {
  /** `aama` leaves out what ANSI/AAMA-292 did not have: the version, materials and validation curves. */
  readonly profile: 'astm' | 'aama';
  readonly units: 'metric' | 'english';
}

/** Millimetres are written with two decimals, inches with four. */
const DECIMALS = { metric: 2, english: 4 } as const;
const MM_PER_UNIT = { metric: 1, english: 25.4 } as const;

/** Chords of sew lines and inner lines stay this near to their curves; the cut line comes as chords within 0.02. */
const CHORD_MM = 0.03;
/** The validation curves are drawn this finely. */
const VALIDATION_MM = 0.005;
/** A reader's own spline through the curve points may differ from the validation curves by this. */
const CURVE_TOLERANCE_MM = 0.5;
const TEXT_MM = 5;
/** Readers may cut longer names. */
const NAME_LENGTH_MAX = 20;

/**
 * Cut pieces as DXF in the form of ASTM D6673-10, on the smallest skeleton of release 12 that everything reads: an empty
 * header, one block a piece, an insert of each.
 *
 * Shape     7-bit text, CR LF. The boundary is the cut line, layer 14 the seam with the legs of open darts; every vertex
 *           of layers 1, 8 and 14 stands on layer 2 where the line turns and on layer 3 where it goes on smoothly.
 * Units     as asked; the text `Units` says which.
 * Accuracy  coordinates to 0.005 mm (metric) or 0.00127 mm (english), chords within 0.03 mm.
 * Edges     pieces lie in their own frame, pairs once with `Quantity:1,1`. A draft without date has blank dates.
 * Source    ASTM D6673-10, read in secondary sources (withdrawn 2019).
 */
export function writeDxf(pattern: DxfPattern, options: DxfOptions): string {
  const out = new GroupWriter(options.units);
  out.pair(0, 'SECTION').pair(2, 'HEADER').pair(0, 'ENDSEC');
  out.pair(0, 'SECTION').pair(2, 'BLOCKS');
  for (const piece of pattern.pieces) writeBlock(out, piece, pattern, options);
  out.pair(0, 'ENDSEC');
  out.pair(0, 'SECTION').pair(2, 'ENTITIES');
  styleTexts(pattern, options).forEach((text, i) => {
    out.text(DXF_LAYERS.boundary, { x: 0, y: -(i + 1) * 2 * TEXT_MM }, text);
  });
  for (const piece of pattern.pieces) {
    out.pair(0, 'INSERT').pair(8, DXF_LAYERS.boundary).pair(2, blockName(piece)).point({ x: 0, y: 0 });
  }
  out.pair(0, 'ENDSEC').pair(0, 'EOF');
  return out.toString();
}

class GroupWriter {
  private readonly lines: string[] = [];

  constructor(private readonly units: DxfOptions['units']) {}

  pair(code: number, value: string | number): this {
    this.lines.push(String(code), String(value));
    return this;
  }

  /** A length in the units of the file. */
  length(code: number, mm: number): this {
    return this.pair(code, this.written(mm));
  }

  point({ x, y }: Point): this {
    return this.length(10, x).length(20, y);
  }

  text(layer: number, at: Point, text: string): this {
    this.pair(0, 'TEXT').pair(8, layer).point(at).length(40, TEXT_MM);
    return this.pair(1, sevenBit(text));
  }

  polyline(layer: number, points: readonly Point[], closed: boolean): this {
    this.pair(0, 'POLYLINE')
      .pair(8, layer)
      .pair(66, 1)
      .pair(70, closed ? 1 : 0);
    // Some readers go by the flag, some by the last vertex: both say that the line is closed.
    for (const p of closed ? [...points, points[0]] : points) this.pair(0, 'VERTEX').pair(8, layer).point(p);
    return this.pair(0, 'SEQEND').pair(8, layer);
  }

  written(mm: number): string {
    return fixedText(mm / MM_PER_UNIT[this.units], DECIMALS[this.units]);
  }

  toString(): string {
    return `${this.lines.join('\r\n')}\r\n`;
  }
}

function styleTexts({ styleName, author, sampleSize, dated }: DxfPattern, options: DxfOptions): string[] {
  const day = dated === undefined ? '' : dated.split('-').reverse().join('-');
  const curveTolerance = new GroupWriter(options.units).written(CURVE_TOLERANCE_MM);
  const astm = options.profile === 'astm';
  return [
    ...(astm ? ['ASTM/D13 Proposal 1 Version: D 6673-10'] : []),
    `Style Name:${shortName(styleName)}`,
    `Creation Date:${day}`,
    'Creation Time:',
    `Author:${author}`,
    `Sample Size:${sampleSize}`,
    'Grade Rule Table:',
    `Units:${options.units === 'metric' ? 'METRIC' : 'ENGLISH'}`,
    ...(astm ? [`Curve Tolerance:${curveTolerance}`] : []),
  ];
}

function shortName(name: string): string {
  return sevenBit(name).slice(0, NAME_LENGTH_MAX);
}

function blockName({ id }: CutPiece): string {
  return id.toUpperCase();
}

function writeBlock(out: GroupWriter, piece: CutPiece, pattern: DxfPattern, options: DxfOptions): void {
  const name = blockName(piece);
  out.pair(0, 'BLOCK').pair(8, DXF_LAYERS.boundary).pair(2, name).pair(70, 0).point({ x: 0, y: 0 });
  const corner = piece.grain[0];
  const { asDrawn, mirrored } = piece.quantity;
  const texts = [
    `Piece Name:${shortName(piece.name)}`,
    `Quantity:${asDrawn},${mirrored}`,
    ...(options.profile === 'astm' ? [`Material:${materialOf(piece, pattern)}`] : []),
  ];
  texts.forEach((text, i) => {
    out.text(DXF_LAYERS.boundary, { x: corner.x, y: corner.y - i * 2 * TEXT_MM }, text);
  });
  writeLines(out, piece, options);
  writeMarks(out, piece);
  out.text(DXF_LAYERS.annotation, { x: corner.x, y: corner.y - 6 * TEXT_MM }, annotation(piece, pattern));
  out.pair(0, 'ENDBLK').pair(8, DXF_LAYERS.boundary);
}

function materialOf({ cloth }: CutPiece, { material }: DxfPattern): string {
  return cloth.map((use) => (use === 'shell' ? material : use)).join(' and ');
}

function annotation(piece: CutPiece, { styleName }: DxfPattern): string {
  const side = piece.sideWords === undefined ? '' : ` / ${piece.sideWords}`;
  return `${piece.name} / ${styleName}${side}`;
}

function writeLines(out: GroupWriter, piece: CutPiece, { profile }: DxfOptions): void {
  const cut = piece.cut.map(({ at }) => at);
  out.polyline(DXF_LAYERS.boundary, cut, true);
  for (const { at, kind } of piece.cut) vertexPoint(out, at, kind === 'turn');
  const sewn = sewnRing(piece);
  const sewLine = chained(sewn, CHORD_MM);
  // A piece that came as an outline alone has no seam line.
  if (sewLine.length > 0)
    out.polyline(
      DXF_LAYERS.sewLines,
      sewLine.map(({ at }) => at),
      true,
    );
  for (const { at, turns } of sewLine) vertexPoint(out, at, turns);
  for (const { curves } of piece.lines) {
    const inner = openChain(curves, CHORD_MM);
    out.polyline(
      DXF_LAYERS.internalLines,
      inner.map(({ at }) => at),
      false,
    );
    for (const { at, turns } of inner) vertexPoint(out, at, turns);
  }
  if (profile === 'aama') return;
  out.polyline(DXF_LAYERS.validatedBoundary, cut, true);
  if (sewn.length > 0)
    out.polyline(
      DXF_LAYERS.validatedSewLines,
      chained(sewn, VALIDATION_MM).map(({ at }) => at),
      true,
    );
  for (const { curves } of piece.lines)
    if (curves.some(({ kind }) => kind === 'cubic'))
      out.polyline(
        DXF_LAYERS.validatedInternal,
        openChain(curves, VALIDATION_MM).map(({ at }) => at),
        false,
      );
}

function vertexPoint(out: GroupWriter, at: Point, turns: boolean): void {
  out
    .pair(0, 'POINT')
    .pair(8, turns ? DXF_LAYERS.turnPoints : DXF_LAYERS.curvePoints)
    .point(at);
}

function writeMarks(out: GroupWriter, { notches, drillHoles, grain }: CutPiece): void {
  for (const { at, inwards, depthMm, widthMm } of notches) {
    out.pair(0, 'POINT').pair(8, DXF_LAYERS.notches).point(at).length(30, depthMm);
    if (widthMm > 0) out.length(39, widthMm);
    out.pair(50, degrees(inwards));
  }
  for (const { at, diameterMm } of drillHoles)
    out.pair(0, 'POINT').pair(8, DXF_LAYERS.drillHoles).point(at).length(30, diameterMm);
  out.pair(0, 'LINE').pair(8, DXF_LAYERS.grain).point(grain[0]);
  out.length(11, grain[1].x).length(21, grain[1].y);
}

function degrees({ x, y }: Point): string {
  const angle = (Math.atan2(y, x) * 180) / Math.PI;
  return (angle < 0 ? angle + 360 : angle).toFixed(2);
}

/** The seam line closed: the runs in order, and the legs of a dart where a run ends at one. */
function sewnRing({ runs, darts }: CutPiece): Curve[] {
  return runs.flatMap(({ curves }, i) => {
    const end = endOf(curves[curves.length - 1]);
    const next = startOf(runs[(i + 1) % runs.length].curves[0]);
    if (distance(end, next) < SAME_MM) return curves;
    const dart = darts.find(([leg]) => distance(startOf(leg), end) < SAME_MM);
    return [...curves, ...(dart ?? [])];
  });
}

const SAME_MM = 1e-3;

interface ChainPoint {
  readonly at: Point;
  readonly turns: boolean;
}

function chained(ring: readonly Curve[], toleranceMm: number): ChainPoint[] {
  return ring.flatMap((curve, i) => {
    const before = ring[(i + ring.length - 1) % ring.length];
    return flatten(curve, toleranceMm)
      .slice(0, -1)
      .map((at, k) => ({ at, turns: k === 0 && turnsBetween(before, curve) }));
  });
}

function openChain(curves: readonly Curve[], toleranceMm: number): ChainPoint[] {
  const points = curves.flatMap((curve, i) =>
    flatten(curve, toleranceMm)
      .slice(i === 0 ? 0 : 1)
      .map((at, k, all) => ({
        at,
        turns: (i === 0 && k === 0) || (k + 1 === all.length && endTurns(curves, i)),
      })),
  );
  return points;
}

function endTurns(curves: readonly Curve[], i: number): boolean {
  return i + 1 === curves.length || turnsBetween(curves[i], curves[i + 1]);
}

/** Half a degree: what goes on more smoothly than that has no corner. */
const SMOOTH_RAD = 0.0087;

function turnsBetween(before: Curve, after: Curve): boolean {
  const a = tangent(before, 'end');
  const b = tangent(after, 'start');
  return Math.abs(Math.atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)) > SMOOTH_RAD;
}

function tangent(curve: Curve, where: 'start' | 'end'): Point {
  const points = curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3];
  const ordered = where === 'start' ? points : [...points].reverse();
  const next = ordered.find((p) => distance(p, ordered[0]) > 0) ?? ordered[0];
  const sign = where === 'start' ? 1 : -1;
  return { x: sign * (next.x - ordered[0].x), y: sign * (next.y - ordered[0].y) };
}
