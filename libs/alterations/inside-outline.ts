import { flattenRing, type Point } from '#geometry';
import { outlineOf, type Piece } from '#pattern';

/** Fine enough to judge by, coarse enough to be quick: about a hundred points a piece. */
const CHORD_TOLERANCE_MM = 0.05;

/** The outline of a piece as a closed polygon within a twentieth of a millimetre. */
export function polygonOf(piece: Piece): Point[] {
  return flattenRing(outlineOf(piece), CHORD_TOLERANCE_MM);
}

/** Whether a point lies inside a closed polygon, by counting the sides a level ray to the right crosses. */
export function isInside(polygon: readonly Point[], p: Point): boolean {
  let inside = false;
  for (let i = 0; i < polygon.length; i++) {
    const a = polygon[i];
    const b = polygon[(i + 1) % polygon.length];
    if (a.y > p.y === b.y > p.y) continue;
    if (p.x < a.x + ((p.y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
  }
  return inside;
}
