import { endOf, pointAt, startOf, type Curve } from './curve.js';
import { direction, distance, turnAbout, type Point } from './point.js';

/**
 * The direction in which a chain of curves leaves its start, as the chords to half and to the whole of a reach show it.
 *
 * Why       a tangent can hide any angle: a handle of a tenth of a millimetre is a tangent, and nobody can cut by it.
 * Shape     a chord leans off the tangent in proportion to its length, so what the second leans more than the first is
 *           taken off the first: an even bend is not mistaken for an angle. A direction of length 1.
 * Edges     a chain shorter than the reach is taken to its end.
 */
export function wayOverReach(chain: readonly Curve[], reachMm: number): Point {
  const corner = startOf(chain[0]);
  const half = direction(corner, pointAtDistance(chain, corner, reachMm / 2));
  const whole = direction(corner, pointAtDistance(chain, corner, reachMm));
  const leanRad = Math.atan2(whole.x * half.y - whole.y * half.x, whole.x * half.x + whole.y * half.y);
  return turnAbout(half, { x: 0, y: 0 }, leanRad);
}

/** The first point of a chain that lies `distanceMm` from its start, as the crow flies; its end when it is shorter. */
function pointAtDistance(chain: readonly Curve[], start: Point, distanceMm: number): Point {
  for (const curve of chain) {
    if (distance(start, endOf(curve)) < distanceMm) continue;
    let low = 0;
    let high = 1;
    for (let step = 0; step < DISTANCE_STEPS; step++) {
      const middle = (low + high) / 2;
      if (distance(start, pointAt(curve, middle)) < distanceMm) low = middle;
      else high = middle;
    }
    return pointAt(curve, high);
  }
  return endOf(chain[chain.length - 1]);
}

/** Halvings of an edge of a metre down to a nanometre. */
const DISTANCE_STEPS = 30;
