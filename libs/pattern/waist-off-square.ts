import { opposite, reversed, wayOverReach, type Curve } from '#geometry';
import { interiorAngleRad } from './inspect-outline.js';
import { curvesOf } from './outline.js';
import type { Piece } from './piece.js';

/** What a centre waist is square over; the shop sees no less. Common practice, no source. */
export const SQUARE_REACH_MM = 10;

/**
 * How far the waist is off square to the rise at the centre, over its last ten millimetres.
 *
 * Why    the piece meets its own mirror image there; what is off shows twice, as a peak or a notch of the waist.
 * Units  radians, positive where the corner is wider than a right angle.
 * Edges  where the last dart lies nearer, the waist is looked at as far as the dart. No waist is 0 off.
 */
export function waistOffSquareRad(piece: Piece): number {
  const waist = fromCentre(piece);
  const rise = curvesOf(piece, 'rise');
  if (waist.length === 0 || rise.length === 0) return 0;
  const into = opposite(wayOverReach(waist, SQUARE_REACH_MM));
  return interiorAngleRad(into, wayOverReach(rise, SQUARE_REACH_MM)) - Math.PI / 2;
}

/** The waist from the centre to its first dart. An outline ends with the waist. */
function fromCentre({ edges }: Piece): Curve[] {
  const last = edges.findLastIndex(({ role }) => role !== 'waist');
  return edges
    .slice(last + 1)
    .reverse()
    .map(({ curve }) => reversed(curve));
}
