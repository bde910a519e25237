import { cross, dot, norm, way, type Point } from '#geometry';

export interface Box {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

export function boxOf(points: readonly Point[]): Box {
  let [left, right, bottom, top] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const { x, y } of points) {
    left = Math.min(left, x);
    right = Math.max(right, x);
    bottom = Math.min(bottom, y);
    top = Math.max(top, y);
  }
  return { left, right, bottom, top };
}

/** How far a point lies outside of a box; 0 within. */
export function offBox({ x, y }: Point, { left, right, bottom, top }: Box): number {
  return Math.hypot(Math.max(left - x, 0, x - right), Math.max(bottom - y, 0, y - top));
}

/** How far a point lies from a closed line. */
export function offRing(p: Point, points: readonly Point[]): number {
  let least = Infinity;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++)
    least = Math.min(least, offSide(p, points[j], points[i]));
  return least;
}

function offSide(p: Point, from: Point, to: Point): number {
  const side = way(from, to);
  const reach = way(from, p);
  const length = dot(side, side);
  const share = length === 0 ? 0 : Math.min(1, Math.max(0, dot(side, reach) / length));
  return norm({ x: reach.x - share * side.x, y: reach.y - share * side.y });
}

/** The signed distance of a point from the line through two others: positive on its left. */
export function offLine(p: Point, [from, to]: readonly [Point, Point]): number {
  const along = way(from, to);
  return cross(along, way(from, p)) / norm(along);
}
