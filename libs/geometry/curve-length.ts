import { splitCurve, velocityAt, type CubicBezier, type Curve } from './curve.js';
import { gaussLegendre } from './gauss-legendre.js';
import { GeometryError } from './geometry-error.js';
import { distance, norm } from './point.js';
import { BISECTION_STEPS_MAX } from './roots.js';
import { requireTolerance, TOLERANCE_MM_MIN } from './tolerance.js';

/**
 * Deepest halving used when measuring a length.
 *
 * Only a cusp gets this deep. The piece left unsplit there is shorter than 2^-24 of the segment, far
 * below any tolerance we accept, so stopping costs nothing.
 */
const LENGTH_DEPTH_MAX = 24;

/** Every third step of the search for a length is a halving. */
const LENGTH_STEPS_MAX = 3 * BISECTION_STEPS_MAX;

/**
 * Arc length in millimetres, within `toleranceMm`.
 *
 * The bound holds for every curve, cusps and doubled-back lines included, because each piece is
 * bracketed rather than estimated.
 *
 * Errors  GeometryError TOLERANCE_TOO_FINE, NON_FINITE.
 * Cost    about 1 microsecond at 0.01 mm for a 400 mm seam, 3 at 1e-4.
 * Source  halving until chord and control polygon agree is Gravesen, "Adaptive subdivision and the length and energy
 *         of Bezier curves" (1997), cited from memory; the narrower bracket is derived here.
 */
export function curveLength(curve: Curve, toleranceMm: number): number {
  requireTolerance(toleranceMm);
  requireFinite(curve);
  if (curve.kind === 'line') return distance(curve.p0, curve.p1);
  return bracketedLength(curve, toleranceMm);
}

// Along the chord's direction u the curve advances by exactly the chord; what the arc has over it is
//   |B'| - B'.u = perp^2 / (|B'| + B'.u),   perp = the part of B' across u.
// perp^2 integrates exactly, and the divisor lies between the smallest and the largest that the control vectors of B'
// allow: two bounds whose distance falls eightfold when the curve is halved. They need B'.u > 0 throughout; a curve that
// turns back is bracketed by chord and control polygon instead. Halve until half the distance fits the share of the
// tolerance this piece may use.
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
  const ux = (dx - ax) / chordMm;
  const uy = (dy - ay) / chordMm;
  const par0 = (bx - ax) * ux + (by - ay) * uy;
  const par1 = (cx - bx) * ux + (cy - by) * uy;
  const par2 = (dx - cx) * ux + (dy - cy) * uy;
  const parMin = Math.min(par0, par1, par2);
  let lowMm = chordMm;
  let highMm = Infinity;
  // A chord of nothing, or one so short that its square is nothing, has no direction.
  if (chordMm > 0 && parMin > 0) {
    const perp0 = (by - ay) * ux - (bx - ax) * uy;
    const perp1 = (cy - by) * ux - (cx - bx) * uy;
    const perp2 = (dy - cy) * ux - (dx - cx) * uy;
    const speedMax = Math.sqrt(
      Math.max(par0 * par0 + perp0 * perp0, par1 * par1 + perp1 * perp1, par2 * par2 + perp2 * perp2),
    );
    // 3 of the factor 9 = 3^2 cancels against the 3 in both speeds.
    const squares =
      3 *
      ((perp0 * perp0 + perp2 * perp2 + perp1 * (perp0 + perp2)) / 5 +
        (2 * perp1 * perp1 + perp0 * perp2) / 15);
    lowMm = chordMm + squares / (speedMax + Math.max(par0, par1, par2));
    highMm = chordMm + squares / (2 * parMin);
  }
  if (highMm - lowMm > 2 * toleranceMm) {
    // Where the curve turns back or nearly does, the control polygon is the closer bound.
    highMm = Math.min(highMm, span(bx - ax, by - ay) + span(cx - bx, cy - by) + span(dx - cx, dy - cy));
  }
  if (highMm - lowMm <= 2 * toleranceMm || depth === LENGTH_DEPTH_MAX) return (lowMm + highMm) / 2;
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

function requireFinite(curve: Curve): void {
  const points = curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3];
  if (!points.every((p) => Number.isFinite(p.x) && Number.isFinite(p.y))) {
    throw new GeometryError('NON_FINITE', { points });
  }
}
