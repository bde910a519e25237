import { GeometryError } from './geometry-error.js';
import { add, cross, lerp, norm, opposite, scale, turnAbout, unit, way, type Point } from './point.js';
import { requireTolerance } from './tolerance.js';

/** A straight edge, travelled from `p0` (t = 0) to `p1` (t = 1). */
export interface Line {
  readonly kind: 'line';
  readonly p0: Point;
  readonly p1: Point;
}

/** One cubic Bezier segment, travelled from `p0` (t = 0) to `p3` (t = 1). */
export interface CubicBezier {
  readonly kind: 'cubic';
  readonly p0: Point;
  readonly p1: Point;
  readonly p2: Point;
  readonly p3: Point;
}

export type Curve = Line | CubicBezier;

export function line(p0: Point, p1: Point): Line {
  return { kind: 'line', p0, p1 };
}

export function cubic(p0: Point, p1: Point, p2: Point, p3: Point): CubicBezier {
  return { kind: 'cubic', p0, p1, p2, p3 };
}

/**
 * Handle length of a cubic that stands for a quarter circle of radius 1, or of each axis of a quarter ellipse; the
 * radius is then off by at most 0.03 %.
 */
export const QUARTER_HANDLE = (4 / 3) * Math.tan(Math.PI / 8);

export function startOf(curve: Curve): Point {
  return curve.p0;
}

export function endOf(curve: Curve): Point {
  return curve.kind === 'line' ? curve.p1 : curve.p3;
}

export function reversed(curve: Curve): Curve {
  return curve.kind === 'line' ? line(curve.p1, curve.p0) : cubic(curve.p3, curve.p2, curve.p1, curve.p0);
}

/** The same curve with every defining point replaced by `move(point)`. Exact for turns, shifts, scalings and mirrors. */
export function mapCurve(curve: Curve, move: (p: Point) => Point): Curve {
  return curve.kind === 'line'
    ? line(move(curve.p0), move(curve.p1))
    : cubic(move(curve.p0), move(curve.p1), move(curve.p2), move(curve.p3));
}

/** `curve` turned counter-clockwise about `centre`. */
export function turnCurve(curve: Curve, centre: Point, angleRad: number): Curve {
  return mapCurve(curve, (p) => turnAbout(p, centre, angleRad));
}

export function pointAt(curve: Curve, t: number): Point {
  if (curve.kind === 'line') return lerp(curve.p0, curve.p1, t);
  const s = 1 - t;
  const a = s * s * s;
  const b = 3 * s * s * t;
  const c = 3 * s * t * t;
  const d = t * t * t;
  const { p0, p1, p2, p3 } = curve;
  return { x: a * p0.x + b * p1.x + c * p2.x + d * p3.x, y: a * p0.y + b * p1.y + c * p2.y + d * p3.y };
}

/** First derivative by t: direction and speed in mm. */
export function velocityAt(curve: Curve, t: number): Point {
  if (curve.kind === 'line') return way(curve.p0, curve.p1);
  const s = 1 - t;
  const { p0, p1, p2, p3 } = curve;
  const a = 3 * s * s;
  const b = 6 * s * t;
  const c = 3 * t * t;
  return {
    x: a * (p1.x - p0.x) + b * (p2.x - p1.x) + c * (p3.x - p2.x),
    y: a * (p1.y - p0.y) + b * (p2.y - p1.y) + c * (p3.y - p2.y),
  };
}

function accelerationAt(curve: CubicBezier, t: number): Point {
  const { p0, p1, p2, p3 } = curve;
  const a = 6 * (1 - t);
  const b = 6 * t;
  return {
    x: a * (p2.x - 2 * p1.x + p0.x) + b * (p3.x - 2 * p2.x + p1.x),
    y: a * (p2.y - 2 * p1.y + p0.y) + b * (p3.y - 2 * p2.y + p1.y),
  };
}

/**
 * The direction of travel at the start, of length 1.
 *
 * A handle of length zero has no direction of its own; the next control point then gives it, which is
 * the limit of the true tangent. Throws NO_DIRECTION when all points coincide.
 */
export function startDirection(curve: Curve): Point {
  if (curve.kind === 'line') return unit(way(curve.p0, curve.p1));
  const { p0, p1, p2, p3 } = curve;
  const next = [p1, p2, p3].find((p) => p.x !== p0.x || p.y !== p0.y);
  if (next === undefined) throw new GeometryError('NO_DIRECTION', { x: p0.x, y: p0.y });
  return unit(way(p0, next));
}

/** The direction of travel at the end, of length 1. See `startDirection` for handles of length zero. */
export function endDirection(curve: Curve): Point {
  return opposite(startDirection(reversed(curve)));
}

/** The direction of travel at `t`, of length 1. */
export function directionAt(curve: Curve, t: number): Point {
  if (t <= 0) return startDirection(curve);
  if (t >= 1) return endDirection(curve);
  return unit(velocityAt(curve, t));
}

/** Signed curvature in 1/mm: positive where the curve turns left. Infinite at a cusp. */
export function curvatureAt(curve: Curve, t: number): number {
  if (curve.kind === 'line') return 0;
  const velocity = velocityAt(curve, t);
  const speed = norm(velocity);
  return cross(velocity, accelerationAt(curve, t)) / (speed * speed * speed);
}

/**
 * Smallest and largest signed curvature over `samples + 1` evenly spaced parameters, ends included.
 *
 * Accuracy  a sample, not a bound: a spike between two samples is missed. Pattern curves turn by less than
 *           a half circle with balanced handles; 64 samples hold the smallest radius to under 1 %.
 */
export function curvatureRange(
  curve: Curve,
  samples: number,
): { readonly min: number; readonly max: number } {
  let min = Infinity;
  let max = -Infinity;
  for (let i = 0; i <= samples; i++) {
    const curvature = curvatureAt(curve, i / samples);
    if (curvature < min) min = curvature;
    if (curvature > max) max = curvature;
  }
  return { min, max };
}

/** Cut at parameter `t` by de Casteljau's construction. Exact: both parts lie on `curve`. */
export function splitCurve<C extends Curve>(curve: C, t: number): [head: C, tail: C];
export function splitCurve(curve: Curve, t: number): [head: Curve, tail: Curve] {
  if (curve.kind === 'line') {
    const cut = lerp(curve.p0, curve.p1, t);
    return [line(curve.p0, cut), line(cut, curve.p1)];
  }
  const { p0, p1, p2, p3 } = curve;
  const a = lerp(p0, p1, t);
  const b = lerp(p1, p2, t);
  const c = lerp(p2, p3, t);
  const ab = lerp(a, b, t);
  const bc = lerp(b, c, t);
  const cut = lerp(ab, bc, t);
  return [cubic(p0, a, ab, cut), cubic(cut, bc, c, p3)];
}

/**
 * Twice the signed area swept by the curve about the origin, exact (Green's theorem on the polynomial).
 * Summed over a closed outline it is twice the enclosed area, positive when counter-clockwise.
 */
export function sweptTwiceArea(curve: Curve): number {
  if (curve.kind === 'line') return cross(curve.p0, curve.p1);
  const { p0, p1, p2, p3 } = curve;
  // The integral of x y' - y x' over a cubic, collected by pairs of control points.
  return (
    (6 * cross(p0, p1) +
      3 * cross(p0, p2) +
      cross(p0, p3) +
      3 * cross(p1, p2) +
      3 * cross(p1, p3) +
      6 * cross(p2, p3)) /
    10
  );
}

/**
 * Points along the curve, both ends included, whose chords stay within `toleranceMm` of it.
 *
 * Accuracy  guaranteed: a cubic lies within sqrt(3)/6 of its largest second difference from its chord, and
 *           halving quarters it.
 * Source    Wang, "Estimating the error of polygonal approximation" (1984), cited from memory.
 */
export function flatten(curve: Curve, toleranceMm: number): Point[] {
  requireTolerance(toleranceMm);
  if (curve.kind === 'line') return [curve.p0, curve.p1];
  const { p0, p1, p2, p3 } = curve;
  const bend = Math.max(norm(add(add(p0, scale(p1, -2)), p2)), norm(add(add(p1, scale(p2, -2)), p3)));
  const count = Math.max(1, Math.ceil(Math.sqrt((0.75 * bend) / toleranceMm)));
  if (count > FLATTEN_PIECES_MAX) throw new GeometryError('WORK_LIMIT', { count, toleranceMm });
  const points = [p0];
  for (let i = 1; i < count; i++) points.push(pointAt(curve, i / count));
  points.push(p3);
  return points;
}

/** A seam of ten metres at the finest tolerance we write needs about 5,000 pieces; more is a mistake. */
const FLATTEN_PIECES_MAX = 100_000;
