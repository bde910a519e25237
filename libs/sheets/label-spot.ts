import type { Point } from '#geometry';

export interface LabelSpot {
  readonly at: Point;
  /** Direction of reading: 0, or a quarter turn where the area is higher than wide. */
  readonly angleRad: number;
}

/** Places looked at along the longer side of the outline's box. */
const PLACES = 40;

/**
 * Where a box of the given size lies inside an outline with the most room around it; undefined when it fits nowhere.
 *
 * Read from below first; from the right when it only fits so.
 */
export function labelSpot(
  outline: readonly Point[],
  widthMm: number,
  heightMm: number,
): LabelSpot | undefined {
  return (
    bestSpot(outline, widthMm / 2, heightMm / 2, 0) ??
    bestSpot(outline, heightMm / 2, widthMm / 2, Math.PI / 2)
  );
}

function bestSpot(
  outline: readonly Point[],
  halfX: number,
  halfY: number,
  angleRad: number,
): LabelSpot | undefined {
  const [xs, ys] = [outline.map((p) => p.x), outline.map((p) => p.y)];
  const [left, right, bottom, top] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const step = Math.max(right - left, top - bottom) / PLACES;
  let best: { at: Point; room: number } | undefined;
  for (let x = left + halfX; x <= right - halfX; x += step) {
    for (let y = bottom + halfY; y <= top - halfY; y += step) {
      const room = roomAround(outline, x, y, halfX, halfY);
      if (room > (best?.room ?? 0)) best = { at: { x, y }, room };
    }
  }
  return best === undefined ? undefined : { at: best.at, angleRad };
}

/** Distance from a box to the outline, 0 when the box is not wholly inside. */
function roomAround(outline: readonly Point[], x: number, y: number, halfX: number, halfY: number): number {
  if (!isInside(outline, x, y)) return 0;
  let least = Infinity;
  for (let i = 0; i < outline.length; i++) {
    const [a, b] = [outline[i], outline[(i + 1) % outline.length]];
    // The side in the frame in which the box shrinks to its middle: steps short enough to see every corner.
    const steps = Math.max(1, Math.ceil(Math.hypot(b.x - a.x, b.y - a.y) / Math.max(0.5, halfY)));
    for (let s = 0; s < steps; s++) {
      const dx = Math.abs(a.x + (s / steps) * (b.x - a.x) - x) - halfX;
      const dy = Math.abs(a.y + (s / steps) * (b.y - a.y) - y) - halfY;
      if (dx <= 0 && dy <= 0) return 0;
      least = Math.min(least, Math.hypot(Math.max(dx, 0), Math.max(dy, 0)));
    }
  }
  return least;
}

function isInside(outline: readonly Point[], x: number, y: number): boolean {
  let inside = false;
  for (let i = 0; i < outline.length; i++) {
    const [a, b] = [outline[i], outline[(i + 1) % outline.length]];
    if (a.y > y === b.y > y) continue;
    if (x < a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
  }
  return inside;
}
