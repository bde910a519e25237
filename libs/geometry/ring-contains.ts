import type { Point } from './point.js';

/**
 * Whether `p` lies inside a closed polygon (first point not repeated), by the even-odd rule. A point on a side may
 * fall either way.
 */
export function ringContains(points: readonly Point[], p: Point): boolean {
  let inside = false;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const a = points[i];
    const b = points[j];
    // Half-open in y, so that a ray through a corner counts one of its two sides.
    if (a.y > p.y === b.y > p.y) continue;
    const x = a.x + ((p.y - a.y) / (b.y - a.y)) * (b.x - a.x);
    if (p.x < x) inside = !inside;
  }
  return inside;
}
