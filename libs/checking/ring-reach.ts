import { ringContains, way, type Point } from '#geometry';
import { offRing, type ForeignLine } from '#interchange';

/** How far a point lies outside of a closed line; 0 within. */
export function outsideBy(p: Point, { points }: ForeignLine): number {
  return ringContains(points, p) ? 0 : offRing(p, points);
}

/** Where a ray first meets a closed line. */
export function hitMm(from: Point, direction: Point, points: readonly Point[]): number {
  let least = Infinity;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const side = way(points[j], points[i]);
    const determinant = direction.x * side.y - direction.y * side.x;
    if (Math.abs(determinant) < 1e-12) continue;
    const reach = way(from, points[j]);
    const mm = (reach.x * side.y - reach.y * side.x) / determinant;
    const share = (reach.x * direction.y - reach.y * direction.x) / determinant;
    if (mm >= -1e-9 && share >= -1e-9 && share <= 1 + 1e-9) least = Math.min(least, mm);
  }
  return least;
}
