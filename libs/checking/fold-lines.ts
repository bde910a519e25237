import {
  angleBetween,
  DEG,
  distance,
  endDirection,
  opposite,
  startDirection,
  startOf,
  way,
  type Curve,
  type Point,
} from '#geometry';
import type { ForeignPiece } from '#interchange';

/** A fold is drawn to the seam, within this. */
export const FOLD_END_MM = 0.5;
/** The two sides of a fold lie on each other when their angles with it agree within this. */
const FOLD_DEG = 1;
const FOLDS_MAX = 20;

/**
 * The ends of lines on which a piece is folded: of a turn-up, a facing cut on, a band.
 *
 * Shape   an inner line from one joint of the seam to another at which, at both ends, the seam leaves on one side as the
 *         mirror image of how it leaves on the other. Such a corner is no kink: folded, its two sides are one.
 */
export function foldEnds({ internalLines }: ForeignPiece, curves: readonly Curve[]): Point[] {
  return internalLines.slice(0, FOLDS_MAX).flatMap(({ points }) => {
    const ends = [points[0], points[points.length - 1]];
    const [from, to] = ends;
    if (distance(from, to) <= 2 * FOLD_END_MM) return [];
    return isMirrored(from, way(from, to), curves) && isMirrored(to, way(to, from), curves) ? ends : [];
  });
}

function isMirrored(end: Point, fold: Point, curves: readonly Curve[]): boolean {
  return curves.some((after, i) => {
    if (distance(startOf(after), end) > FOLD_END_MM) return false;
    const before = curves[(i + curves.length - 1) % curves.length];
    const [back, on] = [opposite(endDirection(before)), startDirection(after)];
    return Math.abs(angleBetween(back, fold) - angleBetween(on, fold)) <= FOLD_DEG * DEG;
  });
}
