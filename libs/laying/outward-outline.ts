import type { Point } from '#geometry';
import { findTouch } from '#marker';

/**
 * An outline with fewer corners that holds the given one: nothing is cut off, and it stands out by at most `toleranceMm`.
 *
 * Many short chords of a curve cost the search much and gain nothing. A hollow corner is left out (its chord runs
 * outside); a short side between two bulging corners is replaced by the point where its neighbours meet.
 *
 * Shape     closed, first point not repeated, counter-clockwise whatever the direction given. Falls back on the given
 *           corners where the result would touch itself.
 * Accuracy  no point of the result is farther than `toleranceMm` from the given outline.
 * Cost      O(n^2) for n corners: a millisecond for 200.
 */
export function outwardOutline(ring: readonly Point[], toleranceMm: number): Point[] {
  const given = withoutRepeats(twiceArea(ring) >= 0 ? ring : [...ring].reverse());
  let corners: Corner[] = given.map((at) => ({ at, offMm: 0 }));
  for (;;) {
    const next = cheapest(corners, toleranceMm);
    if (next === undefined) break;
    corners = next;
  }
  const points = corners.map(({ at }) => at);
  return findTouch(points.map(({ x, y }) => [x, y] as const)) === undefined ? points : given;
}

interface Corner {
  readonly at: Point;
  /** How far the outline about this corner may stand out by now. */
  readonly offMm: number;
}

/** The corners with the one change made that stands out least; undefined when every change is too much. */
function cheapest(corners: readonly Corner[], toleranceMm: number): Corner[] | undefined {
  const n = corners.length;
  if (n <= 4) return undefined;
  let best: { readonly from: number; readonly count: number; readonly corner?: Corner } | undefined;
  let least = toleranceMm;
  for (let i = 0; i < n; i++) {
    const [before, here, after, next] = [0, 1, 2, 3].map((k) => corners[(i + k) % n]);
    const hollow = turn(before.at, here.at, after.at) <= 0;
    if (hollow) {
      const off = heightOver(before.at, after.at, here.at) + Math.max(before.offMm, here.offMm, after.offMm);
      if (off < least) [least, best] = [off, { from: (i + 1) % n, count: 1 }];
      continue;
    }
    if (turn(here.at, after.at, next.at) <= 0) continue;
    const meet = meeting(before.at, here.at, next.at, after.at);
    if (meet === undefined) continue;
    const offMm = heightOver(here.at, after.at, meet) + Math.max(here.offMm, after.offMm);
    if (offMm < least) [least, best] = [offMm, { from: (i + 1) % n, count: 2, corner: { at: meet, offMm } }];
  }
  if (best === undefined) return undefined;
  const { from, count, corner } = best;
  const rest = Array.from({ length: n - count }, (_, k) => corners[(from + count + k) % n]);
  if (corner !== undefined) return [...rest, corner];
  // The chord that took the hollow corner's place stands out by `least` between its two ends.
  const ends = rest.map((one, k) => (k === 0 || k === rest.length - 1 ? { ...one, offMm: least } : one));
  return ends;
}

/** Where the line a-b carried on past b meets the line d-c carried on past c; undefined when it does not. */
function meeting(a: Point, b: Point, d: Point, c: Point): Point | undefined {
  const [ux, uy, vx, vy] = [b.x - a.x, b.y - a.y, c.x - d.x, c.y - d.y];
  const cross = ux * vy - uy * vx;
  if (cross >= 0) return undefined;
  const along = ((d.x - b.x) * vy - (d.y - b.y) * vx) / cross;
  return along >= 0 ? { x: b.x + along * ux, y: b.y + along * uy } : undefined;
}

function turn(a: Point, b: Point, c: Point): number {
  return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
}

function heightOver(a: Point, b: Point, p: Point): number {
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  if (length === 0) return Math.hypot(p.x - a.x, p.y - a.y);
  return Math.abs(turn(a, b, p)) / length;
}

function twiceArea(ring: readonly Point[]): number {
  return ring.reduce((sum, p, i) => {
    const q = ring[(i + 1) % ring.length];
    return sum + p.x * q.y - p.y * q.x;
  }, 0);
}

function withoutRepeats(ring: readonly Point[]): Point[] {
  return ring.filter((p, i) => {
    const q = ring[(i + 1) % ring.length];
    return p.x !== q.x || p.y !== q.y;
  });
}
