import { gaussLegendre } from './gauss-legendre.js';
import { GeometryError } from './geometry-error.js';
import {
  add,
  cross,
  distance,
  dot,
  lerp,
  norm,
  opposite,
  scale,
  turnAbout,
  unit,
  way,
  type Point,
} from './point.js';

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

/**
 * The finest tolerance any length accepts: one nanometre.
 *
 * Finer than this, rounding in coordinates of a few metres is larger than the tolerance, the halving
 * below never settles, and a depth of 24 means sixteen million pieces.
 */
export const TOLERANCE_MM_MIN = 1e-6;

/**
 * Deepest halving used when measuring a length.
 *
 * Only a cusp gets this deep. The piece left unsplit there is shorter than 2^-24 of the segment, far
 * below any tolerance we accept, so stopping costs nothing.
 */
const LENGTH_DEPTH_MAX = 24;

/** Halving [0, 1] this often ends at 2^-53, the last step a double can tell apart. */
const BISECTION_STEPS_MAX = 53;

/** Every third step of the search for a length is a halving. */
const LENGTH_STEPS_MAX = 3 * BISECTION_STEPS_MAX;

export function line(p0: Point, p1: Point): Line {
  return { kind: 'line', p0, p1 };
}

export function cubic(p0: Point, p1: Point, p2: Point, p3: Point): CubicBezier {
  return { kind: 'cubic', p0, p1, p2, p3 };
}

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
 * Arc length in millimetres, within `toleranceMm`.
 *
 * The bound holds for every curve, cusps and doubled-back lines included, because each piece is
 * bracketed rather than estimated: chord <= arc <= control polygon.
 *
 * Errors  GeometryError TOLERANCE_TOO_FINE, NON_FINITE.
 * Cost    about 10 microseconds at 0.01 mm for a 400 mm seam, 100 at 1e-4.
 * Source  the bracket is Gravesen, "Adaptive subdivision and the length and energy of Bezier curves" (1997),
 *         cited from memory.
 */
export function curveLength(curve: Curve, toleranceMm: number): number {
  requireTolerance(toleranceMm);
  requireFinite(curve);
  if (curve.kind === 'line') return distance(curve.p0, curve.p1);
  return bracketedLength(curve, toleranceMm);
}

// The arc is at least its chord and at most its control polygon, so their mean is off by at most half
// the difference. Halve until that half-difference fits the share of the tolerance this piece may use.
function bracketedLength({ p0, p1, p2, p3 }: CubicBezier, toleranceMm: number): number {
  return bracketed(p0.x, p0.y, p1.x, p1.y, p2.x, p2.y, p3.x, p3.y, toleranceMm, 0);
}

// Eight numbers instead of four points: this is the service's innermost loop, and points would be most of its cost.
function bracketed(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
  toleranceMm: number,
  depth: number,
): number {
  const chordMm = span(dx - ax, dy - ay);
  const polygonMm = span(bx - ax, by - ay) + span(cx - bx, cy - by) + span(dx - cx, dy - cy);
  if (polygonMm - chordMm <= 2 * toleranceMm || depth === LENGTH_DEPTH_MAX) return (chordMm + polygonMm) / 2;
  const abx = (ax + bx) / 2;
  const aby = (ay + by) / 2;
  const bcx = (bx + cx) / 2;
  const bcy = (by + cy) / 2;
  const cdx = (cx + dx) / 2;
  const cdy = (cy + dy) / 2;
  const abcx = (abx + bcx) / 2;
  const abcy = (aby + bcy) / 2;
  const bcdx = (bcx + cdx) / 2;
  const bcdy = (bcy + cdy) / 2;
  const mx = (abcx + bcdx) / 2;
  const my = (abcy + bcdy) / 2;
  const half = toleranceMm / 2;
  return (
    bracketed(ax, ay, abx, aby, abcx, abcy, mx, my, half, depth + 1) +
    bracketed(mx, my, bcdx, bcdy, cdx, cdy, dx, dy, half, depth + 1)
  );
}

function span(x: number, y: number): number {
  return Math.sqrt(x * x + y * y);
}

/** Order of the fixed quadrature: the smallest that keeps every curve of a sound draft within 1e-6 mm. */
const QUADRATURE_ORDER = 24;
const QUADRATURE = gaussLegendre(QUADRATURE_ORDER);

/**
 * Arc length by 24-point Gauss-Legendre quadrature: smooth in the control points, but not certified.
 *
 * The solver needs this one: a length that is halved adaptively jumps by its tolerance when a control point
 * moves, and finite differences see nothing but those jumps. Results that leave the service are measured
 * with `curveLength`.
 *
 * Accuracy  below 1e-6 mm for the curves of a sound draft; several mm wrong at a cusp.
 * Cost      about 0.2 microseconds.
 */
export function quadratureLength(curve: Curve): number {
  if (curve.kind === 'line') return distance(curve.p0, curve.p1);
  const { p0, p1, p2, p3 } = curve;
  const ax = p1.x - p0.x;
  const ay = p1.y - p0.y;
  const bx = p2.x - p1.x;
  const by = p2.y - p1.y;
  const cx = p3.x - p2.x;
  const cy = p3.y - p2.y;
  let total = 0;
  for (let i = 0; i < QUADRATURE_ORDER; i++) {
    const t = QUADRATURE.nodes[i];
    const s = 1 - t;
    const x = s * s * ax + 2 * s * t * bx + t * t * cx;
    const y = s * s * ay + 2 * s * t * by + t * t * cy;
    total += QUADRATURE.weights[i] * Math.sqrt(x * x + y * y);
  }
  return 3 * total;
}

/**
 * Cut a curve in two at a distance measured along it from its start.
 *
 * This is how a notch, a dart leg or a pocket corner is placed: the tape is laid on the seam, so the
 * distance is arc length and not the curve parameter.
 *
 * Shape      `head` runs from the start to the cut, `tail` from the cut to the end; together they trace
 *            the same points as `curve`, and they share the cut, bit for bit.
 * Units      millimetres; `t` has no unit, 0..1.
 * Accuracy   `|curveLength(head) - lengthMm| <= toleranceMm`. The cut lies on the curve exactly; only its
 *            position along the curve is approximate.
 * Edges      0 and the full length are allowed and give a zero-length part. A length past the end within
 *            `toleranceMm` counts as the end. Beyond that it throws: clamping would move a notch without
 *            telling anyone.
 * Errors     GeometryError NON_FINITE, TOLERANCE_TOO_FINE, LENGTH_OUT_OF_RANGE.
 * Source     de Casteljau's construction for the cut; parameter by a bracket that is narrowed by interpolation
 *            and halving, because length never decreases with t, even through a cusp, where Newton would divide
 *            by a speed of zero.
 *
 * @example
 * splitCurveAtLength(line(at(0, 0), at(300, 0)), 100, 0.01).tail.p0; // { x: 100, y: 0 } within 0.01
 */
export function splitCurveAtLength(
  curve: Curve,
  lengthMm: number,
  toleranceMm: number,
): { readonly head: Curve; readonly tail: Curve; readonly t: number } {
  const t = parameterAtLength(curve, lengthMm, toleranceMm);
  const [head, tail] = splitCurve(curve, t);
  return { head, tail, t };
}

/** The parameter at a distance along the curve. Same contract as `splitCurveAtLength`. */
export function parameterAtLength(curve: Curve, lengthMm: number, toleranceMm: number): number {
  requireTolerance(toleranceMm);
  if (!Number.isFinite(lengthMm)) throw new GeometryError('NON_FINITE', { lengthMm });
  const totalMm = curveLength(curve, Math.max(toleranceMm / 4, TOLERANCE_MM_MIN));
  if (lengthMm < 0 || lengthMm > totalMm + toleranceMm) {
    throw new GeometryError('LENGTH_OUT_OF_RANGE', { lengthMm, totalMm });
  }
  if (lengthMm === 0) return 0;
  if (lengthMm >= totalMm) return 1;
  if (curve.kind === 'line') return lengthMm / totalMm;
  let low = 0;
  let high = 1;
  let lowMm = 0;
  let highMm = totalMm;
  for (let step = 0; step < LENGTH_STEPS_MAX; step++) {
    // First the guess; then where an even speed would put it, and every third time the middle, which halves the bracket
    // whatever the speed.
    const even = low + ((high - low) * (lengthMm - lowMm)) / (highMm - lowMm);
    const t = step === 0 ? guessAtLength(curve, lengthMm, even) : step % 3 === 2 ? (low + high) / 2 : even;
    const headMm = bracketedLength(splitCurve(curve, t)[0], toleranceMm / 4);
    if (Math.abs(headMm - lengthMm) <= toleranceMm / 2) return t;
    if (headMm < lengthMm) [low, lowMm] = [t, headMm];
    else [high, highMm] = [t, headMm];
  }
  return (low + high) / 2;
}

/**
 * Where Newton's method on the fast length puts the cut: for an ordinary curve right to 1e-6 mm, so that the certified
 * length is taken once. At a cusp it may run out of the curve; `otherwise` is then as good a start.
 */
function guessAtLength(curve: CubicBezier, lengthMm: number, otherwise: number): number {
  let t = otherwise;
  for (let step = 0; step < GUESS_STEPS; step++) {
    t += (lengthMm - quadratureLength(splitCurve(curve, t)[0])) / norm(velocityAt(curve, t));
    if (!(t > 0 && t < 1)) return otherwise;
  }
  return t;
}

const GUESS_STEPS = 4;

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
 * The parameters where the curve crosses the line through `origin` along `towards`, ascending, within [0, 1].
 *
 * Edges   a curve lying on the line has no crossings; a touch counts once.
 * Source  the signed distance to a line is itself a cubic in t; its roots are bracketed between its turning
 *         points and bisected, which cannot miss or invent one.
 */
export function crossingsWithLine(curve: Curve, origin: Point, towards: Point): number[] {
  const normal = unit({ x: -towards.y, y: towards.x });
  const side = (p: Point): number => (p.x - origin.x) * normal.x + (p.y - origin.y) * normal.y;
  if (curve.kind === 'line') {
    const d0 = side(curve.p0);
    const d1 = side(curve.p1);
    if (d0 === d1) return [];
    const t = d0 / (d0 - d1);
    return t >= 0 && t <= 1 ? [t] : [];
  }
  return rootsOfBernsteinCubic(side(curve.p0), side(curve.p1), side(curve.p2), side(curve.p3));
}

function rootsOfBernsteinCubic(d0: number, d1: number, d2: number, d3: number): number[] {
  const value = (t: number): number => {
    const s = 1 - t;
    return s * s * s * d0 + 3 * s * s * t * d1 + 3 * s * t * t * d2 + t * t * t * d3;
  };
  const stops = [0, ...turningPoints(d1 - d0, d2 - d1, d3 - d2), 1];
  const roots: number[] = [];
  for (let i = 0; i + 1 < stops.length; i++) {
    const low = stops[i];
    const high = stops[i + 1];
    const atLow = value(low);
    const atHigh = value(high);
    if (atLow === 0) roots.push(low);
    if (atLow * atHigh < 0) roots.push(bisect(value, low, high));
    if (i + 2 === stops.length && atHigh === 0) roots.push(high);
  }
  return roots.filter((t, i) => i === 0 || t !== roots[i - 1]);
}

// Roots in (0, 1) of the derivative a(1-t)^2 + 2b(1-t)t + ct^2.
function turningPoints(a: number, b: number, c: number): number[] {
  const quadratic = a - 2 * b + c;
  const linear = 2 * (b - a);
  if (quadratic === 0) return linear === 0 ? [] : [-a / linear].filter((t) => t > 0 && t < 1);
  const discriminant = linear * linear - 4 * quadratic * a;
  if (discriminant <= 0) return [];
  const q = -(linear + Math.sign(linear || 1) * Math.sqrt(discriminant)) / 2;
  return [q / quadratic, a / q].filter((t) => t > 0 && t < 1).sort((s, t) => s - t);
}

function bisect(value: (t: number) => number, from: number, to: number): number {
  let low = from;
  let high = to;
  const rising = value(low) < 0;
  for (let step = 0; step < BISECTION_STEPS_MAX; step++) {
    const middle = (low + high) / 2;
    if (value(middle) < 0 === rising) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
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

/** The parameter of the point of `curve` nearest to `p`, by sampling and then bisection of the foot condition. */
export function nearestParameter(curve: Curve, p: Point): number {
  let best = 0;
  let bestMm = Infinity;
  for (let i = 0; i <= NEAREST_SAMPLES; i++) {
    const mm = distance(pointAt(curve, i / NEAREST_SAMPLES), p);
    if (mm < bestMm) {
      bestMm = mm;
      best = i / NEAREST_SAMPLES;
    }
  }
  const lean = (t: number): number => dot(way(p, pointAt(curve, t)), velocityAt(curve, t));
  const low = Math.max(0, best - 1 / NEAREST_SAMPLES);
  const high = Math.min(1, best + 1 / NEAREST_SAMPLES);
  if (lean(low) >= 0) return low;
  if (lean(high) <= 0) return high;
  return bisect(lean, low, high);
}

/** Pattern curves have at most a few bends; 64 samples separate their feet. */
const NEAREST_SAMPLES = 64;

function requireTolerance(toleranceMm: number): void {
  if (!(toleranceMm >= TOLERANCE_MM_MIN)) throw new GeometryError('TOLERANCE_TOO_FINE', { toleranceMm });
}

function requireFinite(curve: Curve): void {
  const points = curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3];
  if (!points.every((p) => Number.isFinite(p.x) && Number.isFinite(p.y))) {
    throw new GeometryError('NON_FINITE', { points });
  }
}
