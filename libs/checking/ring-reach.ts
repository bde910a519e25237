import { distance, lerp, ringContains, way, type Point } from '#geometry';
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

/** The place on a closed line that lies nearest to a point. */
export interface RingFoot {
  /** Its side goes from this vertex to the next. */
  readonly side: number;
  /** 0 to 1 of that side. */
  readonly share: number;
  readonly apartMm: number;
}

export function footOnRing(points: readonly Point[], p: Point): RingFoot {
  let best: RingFoot = { side: 0, share: 0, apartMm: Infinity };
  for (const [side, from] of points.entries()) {
    const to = points[(side + 1) % points.length];
    const along = way(from, to);
    const reach = way(from, p);
    const square = along.x * along.x + along.y * along.y;
    const share =
      square === 0 ? 0 : Math.min(1, Math.max(0, (reach.x * along.x + reach.y * along.y) / square));
    const apartMm = distance(p, lerp(from, to, share));
    if (apartMm < best.apartMm) best = { side, share, apartMm };
  }
  return best;
}
