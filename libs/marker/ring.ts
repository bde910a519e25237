// Taken once: inside a test runner every look-up of a global costs more than the arithmetic.
const { max, min, round } = Math;

/**
 * A closed polygon on the whole-number grid, counter-clockwise, no corner repeated and none on a straight line.
 *
 * Coordinates stay below 2^24 so that every cross product of two sides is exact in a double.
 */
export interface Ring {
  readonly xs: Float64Array;
  readonly ys: Float64Array;
}

export interface Box {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

export function ringOf(points: readonly (readonly [number, number])[]): Ring {
  return { xs: Float64Array.from(points, (p) => p[0]), ys: Float64Array.from(points, (p) => p[1]) };
}

/** Twice the signed area, exact below 2^53; positive when counter-clockwise. */
export function twiceArea(ring: Ring): number {
  const { xs, ys } = ring;
  let sum = 0;
  for (let i = 1; i < xs.length - 1; i++) {
    sum += (xs[i] - xs[0]) * (ys[i + 1] - ys[0]) - (ys[i] - ys[0]) * (xs[i + 1] - xs[0]);
  }
  return sum;
}

export function boxOf(ring: Ring): Box {
  let [left, right, bottom, top] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < ring.xs.length; i++) {
    left = min(left, ring.xs[i]);
    right = max(right, ring.xs[i]);
    bottom = min(bottom, ring.ys[i]);
    top = max(top, ring.ys[i]);
  }
  return { left, right, bottom, top };
}

/** The ring turned by half a turn about the origin; the direction round it stays. */
export function halfTurned(ring: Ring): Ring {
  return { xs: ring.xs.map((x) => -x), ys: ring.ys.map((y) => -y) };
}

/** 0 as it is, 1 with x negated, 2 with y negated, 3 both: half a turn. */
export type Flip = 0 | 1 | 2 | 3;

/** The ring flipped about the axes, still counter-clockwise. */
export function flipped(ring: Ring, flip: Flip): Ring {
  if (flip === 0) return ring;
  if (flip === 3) return halfTurned(ring);
  const [xs, ys] = [ring.xs.slice().reverse(), ring.ys.slice().reverse()];
  return flip === 1 ? { xs: xs.map((x) => -x), ys } : { xs, ys: ys.map((y) => -y) };
}

/** True when `other` is `ring` moved: same corners in the same order from some start. */
export function isMovedCopy(ring: Ring, other: Ring): boolean {
  const count = ring.xs.length;
  if (other.xs.length !== count) return false;
  const [from, to] = [lowestCorner(ring), lowestCorner(other)];
  for (let i = 0; i < count; i++) {
    const [a, b] = [(from + i) % count, (to + i) % count];
    if (ring.xs[a] - ring.xs[from] !== other.xs[b] - other.xs[to]) return false;
    if (ring.ys[a] - ring.ys[from] !== other.ys[b] - other.ys[to]) return false;
  }
  return true;
}

function lowestCorner({ xs, ys }: Ring): number {
  let best = 0;
  for (let i = 1; i < xs.length; i++) {
    if (ys[i] < ys[best] || (ys[i] === ys[best] && xs[i] < xs[best])) best = i;
  }
  return best;
}

/**
 * Corners on the grid, made counter-clockwise, without repeats and without corners on a straight line.
 *
 * Returns undefined when fewer than three corners or no area is left.
 */
export function cleanRing(points: readonly (readonly [number, number])[]): Ring | undefined {
  const corners = points.map(([x, y]): [number, number] => [round(x), round(y)]);
  for (let dropped = true; dropped && corners.length >= 3;) {
    dropped = false;
    for (let i = corners.length - 1; i >= 0 && corners.length >= 3; i--) {
      if (!isNeeded(corners, i)) {
        corners.splice(i, 1);
        dropped = true;
      }
    }
  }
  if (corners.length < 3) return undefined;
  const area = twiceArea(ringOf(corners));
  if (area === 0) return undefined;
  return ringOf(area > 0 ? corners : corners.reverse());
}

function isNeeded(corners: readonly (readonly [number, number])[], i: number): boolean {
  const count = corners.length;
  const [before, corner, after] = [corners[(i + count - 1) % count], corners[i], corners[(i + 1) % count]];
  const turn =
    (corner[0] - before[0]) * (after[1] - corner[1]) - (corner[1] - before[1]) * (after[0] - corner[0]);
  return turn !== 0;
}
