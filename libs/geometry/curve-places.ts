import { pointAt, velocityAt, type Curve } from './curve.js';
import { distance, dot, unit, way, type Point } from './point.js';
import { bernsteinRoots, bisect } from './roots.js';

/**
 * The parameters where the curve crosses the line through `origin` along `towards`, ascending, within [0, 1].
 *
 * Edges   a curve lying on the line has no crossings; a touch counts once.
 * Source  the signed distance to a line is itself a cubic in t; its roots are bracketed between its turning
 *         points and narrowed from both sides, which cannot miss or invent one.
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
  return bernsteinRoots(side(curve.p0), side(curve.p1), side(curve.p2), side(curve.p3));
}

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
