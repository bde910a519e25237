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
  const posts = postsOf(outline, Math.max(0.5, halfY));
  let best: { at: Point; room: number } | undefined;
  for (let x = left + halfX; x <= right - halfX; x += step) {
    for (let y = bottom + halfY; y <= top - halfY; y += step) {
      const room = roomAround(posts, { x, y }, halfX, halfY, best?.room ?? 0);
      if (room !== undefined && isInside(outline, x, y)) best = { at: { x, y }, room };
    }
  }
  return best === undefined ? undefined : { at: best.at, angleRad };
}

/** An outline as points, near enough to each other that no corner of it hides from a box. */
interface Posts {
  readonly xs: Float64Array;
  readonly ys: Float64Array;
  /** The post that the last box was refused for: mostly it refuses the next one too. */
  last: number;
}

function postsOf(outline: readonly Point[], apartMm: number): Posts {
  const [xs, ys]: [number[], number[]] = [[], []];
  outline.forEach((a, i) => {
    const b = outline[(i + 1) % outline.length];
    const steps = Math.max(1, Math.ceil(Math.hypot(b.x - a.x, b.y - a.y) / apartMm));
    for (let s = 0; s < steps; s++) {
      xs.push(a.x + (s / steps) * (b.x - a.x));
      ys.push(a.y + (s / steps) * (b.y - a.y));
    }
  });
  return { xs: Float64Array.from(xs), ys: Float64Array.from(ys), last: 0 };
}

/** Square of the distance from a box to the outline, where it is more than `toBeat`; undefined where it is not. */
function roomAround(
  posts: Posts,
  { x, y }: Point,
  halfX: number,
  halfY: number,
  toBeat: number,
): number | undefined {
  const { xs, ys, last } = posts;
  const count = xs.length;
  let least = Infinity;
  for (let k = 0, i = last; k < count; k++, i = i + 1 === count ? 0 : i + 1) {
    const dx = Math.max(0, Math.abs(xs[i] - x) - halfX);
    const dy = Math.max(0, Math.abs(ys[i] - y) - halfY);
    const square = dx * dx + dy * dy;
    if (square >= least) continue;
    least = square;
    if (least > toBeat) continue;
    posts.last = i;
    return undefined;
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
