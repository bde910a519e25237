import {
  along,
  cross,
  curvatureAt,
  directionAt,
  distance,
  endDirection,
  endOf,
  leftOf,
  lerp,
  meet,
  parameterAtLength,
  pointAt,
  quadratureLength,
  splitCurve,
  startDirection,
  startOf,
  unit,
  way,
  type Curve,
  type Point,
} from '#geometry';
import type { CutPoint, SeamRun, WidthStation } from './cut-piece.js';

/**
 * The cut line along one run, before its ends meet the neighbours: a chain of points that goes on straight beyond
 * both ends.
 */
export interface Strand {
  readonly points: readonly CutPoint[];
  /** Direction of travel at the start and at the end, of length 1. */
  readonly startDirection: Point;
  readonly endDirection: Point;
}

export function runLengthMm(run: SeamRun): number {
  return run.curves.reduce((sum, curve) => sum + quadratureLength(curve), 0);
}

/** Width of the allowance at a seam distance from the start of the run. */
export function widthAtMm(widths: readonly WidthStation[], fromStartMm: number): number {
  return linearAt(widths, fromStartMm).widthMm;
}

interface WidthThere {
  readonly widthMm: number;
  /** Change of width per millimetre of seam. */
  readonly slope: number;
}

function linearAt(widths: readonly WidthStation[], fromStartMm: number): WidthThere {
  const after = widths.findIndex((station) => station.fromStartMm >= fromStartMm);
  if (after === 0) return { widthMm: widths[0].widthMm, slope: slopeOf(widths, 1) };
  if (after < 0) {
    const last = widths.length - 1;
    return { widthMm: widths[last].widthMm, slope: slopeOf(widths, last) };
  }
  const [from, to] = [widths[after - 1], widths[after]];
  const share = (fromStartMm - from.fromStartMm) / (to.fromStartMm - from.fromStartMm);
  return {
    widthMm: from.widthMm + share * (to.widthMm - from.widthMm),
    slope: slopeOf(widths, after),
  };
}

function slopeOf(widths: readonly WidthStation[], to: number): number {
  if (to < 1 || to >= widths.length) return 0;
  const spanMm = widths[to].fromStartMm - widths[to - 1].fromStartMm;
  return spanMm > 0 ? (widths[to].widthMm - widths[to - 1].widthMm) / spanMm : 0;
}

/** The point of the cut line that belongs to a point of the seam, square to the seam there. */
export interface SeamFoot {
  readonly foot: Point;
  /** Out of the piece, of length 1. */
  readonly outwards: Point;
  readonly widthMm: number;
}

/**
 * The place on a run at a seam distance from its start.
 *
 * Accuracy  `toleranceMm` along the seam; square to it exact.
 * Errors    GeometryError LENGTH_OUT_OF_RANGE past the end.
 */
export function footAtMm(run: SeamRun, fromStartMm: number, toleranceMm: number): SeamFoot {
  let leftMm = fromStartMm;
  for (const [i, curve] of run.curves.entries()) {
    const lengthMm = quadratureLength(curve);
    if (leftMm <= lengthMm || i + 1 === run.curves.length) {
      const t = leftMm >= lengthMm ? 1 : parameterAtLength(curve, Math.max(0, leftMm), toleranceMm);
      return {
        foot: pointAt(curve, t),
        outwards: leftOf(directionAt(curve, t)),
        widthMm: widthAtMm(run.widths, fromStartMm),
      };
    }
    leftMm -= lengthMm;
  }
  throw new RangeError('a run has at least one curve');
}

/** Curves start in this many parts, so that an even bend is not taken for a straight line. */
const FIRST_PARTS = 4;
/** Halvings of a part; reached only at a cusp, where the chord is then far below any tolerance. */
const HALVINGS_MAX = 12;

/**
 * The cut line along a run: every seam point moved out square to the seam by the width there.
 *
 * Shape     ends exactly square to the ends of the run. Where the seam bends more tightly than the width the chain
 *           loops; the loop is taken out when the ring is closed.
 * Accuracy  chords stay within `toleranceMm` of the line, read at the quarters of each chord.
 */
export function strandOf(run: SeamRun, toleranceMm: number): Strand {
  const points: CutPoint[] = [];
  let fromStartMm = 0;
  for (const [i, curve] of run.curves.entries()) {
    const offset = offsetOf(curve, run.widths, fromStartMm);
    const chain = sampled(offset, curve.kind === 'line' ? 1 : FIRST_PARTS, toleranceMm);
    fromStartMm += quadratureLength(curve);
    if (i === 0) points.push(...chain);
    else appendChain(points, chain, run.curves[i - 1], curve);
  }
  const first = run.curves[0];
  const last = run.curves[run.curves.length - 1];
  return {
    points,
    startDirection: offsetDirection(first, 0, linearAt(run.widths, 0)),
    endDirection: offsetDirection(last, 1, linearAt(run.widths, fromStartMm)),
  };
}

function offsetOf(curve: Curve, widths: readonly WidthStation[], fromStartMm: number): (t: number) => Point {
  const evenMm = widths.length === 1 ? widths[0].widthMm : undefined;
  return (t) => {
    // Most seams are even, and need no length on the way.
    if (evenMm !== undefined) return along(pointAt(curve, t), leftOf(directionAt(curve, t)), evenMm);
    const headMm = t === 0 ? 0 : quadratureLength(splitCurve(curve, t)[0]);
    const outwards = leftOf(directionAt(curve, t));
    return along(pointAt(curve, t), outwards, widthAtMm(widths, fromStartMm + headMm));
  };
}

// The cut line turns away from the seam where the width changes, and stands still where the seam bends about it.
function offsetDirection(curve: Curve, t: number, { widthMm, slope }: WidthThere): Point {
  const onward = t === 0 ? startDirection(curve) : endDirection(curve);
  const bend = curve.kind === 'line' ? 0 : curvatureAt(curve, t);
  const speed = Number.isFinite(bend) ? Math.max(1 - widthMm * bend, 0) : 1;
  const outwards = leftOf(onward);
  const towards = { x: onward.x * speed + outwards.x * slope, y: onward.y * speed + outwards.y * slope };
  return speed === 0 && slope === 0 ? onward : unit(towards);
}

function sampled(at: (t: number) => Point, parts: number, toleranceMm: number): CutPoint[] {
  const points: Point[] = [at(0)];
  const add = (low: number, from: Point, high: number, to: Point, depth: number): void => {
    const quarters = [0.25, 0.5, 0.75].map((share) => at(low + share * (high - low)));
    const flat = quarters.every((p) => chordDistance(p, from, to) <= toleranceMm);
    if (flat || depth === HALVINGS_MAX) {
      points.push(to);
      return;
    }
    const middle = (low + high) / 2;
    add(low, from, middle, quarters[1], depth + 1);
    add(middle, quarters[1], high, to, depth + 1);
  };
  for (let part = 0; part < parts; part++) {
    const [low, high] = [part / parts, (part + 1) / parts];
    add(low, points[points.length - 1], high, at(high), 0);
  }
  return points.map((p, i) => ({ at: p, kind: i === 0 || i + 1 === points.length ? 'turn' : 'curve' }));
}

function chordDistance(p: Point, from: Point, to: Point): number {
  const chord = way(from, to);
  const lengthSquared = chord.x * chord.x + chord.y * chord.y;
  if (lengthSquared === 0) return distance(p, from);
  const share = ((p.x - from.x) * chord.x + (p.y - from.y) * chord.y) / lengthSquared;
  return distance(p, lerp(from, to, Math.min(1, Math.max(0, share))));
}

/** Two edges whose directions differ by less than this meet smoothly: half a degree, which no cutter sees. */
const SMOOTH_RAD = 0.0087;
/** Neighbouring offsets nearer than this are one point. */
const SAME_POINT_MM = 1e-6;

function isSmooth(before: Curve, after: Curve): boolean {
  const a = endDirection(before);
  const b = startDirection(after);
  return Math.abs(Math.atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)) < SMOOTH_RAD;
}

// Outside a kink the two offsets are carried on to their corner; inside one they cross, and the crossing is taken out
// when the ring is closed.
function appendChain(points: CutPoint[], chain: readonly CutPoint[], before: Curve, after: Curve): void {
  const last = points[points.length - 1];
  const [first, ...rest] = chain;
  if (distance(last.at, first.at) <= SAME_POINT_MM) {
    points[points.length - 1] = { at: last.at, kind: isSmooth(before, after) ? 'curve' : 'turn' };
    points.push(...rest);
    return;
  }
  const into = endDirection(before);
  const outOf = startDirection(after);
  const corner = cross(into, outOf) < 0 ? meet(last.at, into, first.at, outOf) : undefined;
  if (corner === undefined) points.push(...chain);
  else points.splice(-1, 1, { at: corner, kind: 'turn' }, ...rest);
}

export function runStart(run: SeamRun): Point {
  return startOf(run.curves[0]);
}

export function runEnd(run: SeamRun): Point {
  return endOf(run.curves[run.curves.length - 1]);
}

export function runStartDirection(run: SeamRun): Point {
  return startDirection(run.curves[0]);
}

export function runEndDirection(run: SeamRun): Point {
  return endDirection(run.curves[run.curves.length - 1]);
}
