import { cross, norm, way, type Point } from '#geometry';

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
export function offRing({ x, y }: Point, points: readonly Point[]): number {
  // Most of the time of a check is spent here: numbers, not points.
  let least = Infinity;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const from = points[j];
    const to = points[i];
    const sideX = to.x - from.x;
    const sideY = to.y - from.y;
    const length = sideX * sideX + sideY * sideY;
    const along = (x - from.x) * sideX + (y - from.y) * sideY;
    const share = length === 0 || along <= 0 ? 0 : along >= length ? 1 : along / length;
    const offX = x - from.x - share * sideX;
    const offY = y - from.y - share * sideY;
    const square = offX * offX + offY * offY;
    if (square < least) least = square;
  }
  return Math.sqrt(least);
}

/** The signed distance of a point from the line through two others: positive on its left. */
export function offLine(p: Point, [from, to]: readonly [Point, Point]): number {
  const along = way(from, to);
  return cross(along, way(from, p)) / norm(along);
}
