import { halfTurned, type Ring } from './ring.js';

// Taken once: inside a test runner every look-up of a global costs more than the arithmetic.
const { abs, atan2, floor, max, min, round } = Math;

/**
 * The places of one piece's origin, relative to another's, at which the two overlap: the inside of these closed loops.
 *
 * Shape   side i runs from (fromX[i], fromY[i]) to (toX[i], toY[i]) with the overlap on its left. `startTurn` and
 *         `endTurn` are +1 where the loop turns left (convex) at that end, else -1.
 * Units   whole grid units; shared corners are the same numbers.
 */
export interface NoFitPolygon {
  readonly fromX: Float64Array;
  readonly fromY: Float64Array;
  readonly toX: Float64Array;
  readonly toY: Float64Array;
  readonly startTurn: Float64Array;
  readonly endTurn: Float64Array;
}

/** Points closer than this, in grid units, become one corner; rounding an intersection moves it by less than one. */
const WELD_UNITS = 2;

/** How far, in grid units, a point may be from a line to count as on it; intersections are computed in doubles to 1e-6. */
const ON_LINE_UNITS = 1e-3;

/**
 * The no-fit polygon of a fixed piece and a moving one, by polygon convolution.
 *
 * Every side of one ring is carried to every corner of the other whose turning range holds the side's direction. The
 * closed curves so drawn wind round a point once for every connected part of the overlap of the two pieces there
 * (Guibas, Ramshaw, Stolfi 1983, "A kinetic framework for computational geometry"). So the boundary is exactly those
 * parts of the forward sides that have winding number 0 on their right. A polygon union would have to survive the
 * many coincident sides and zero-width spikes of a convolution; a winding number does not notice them.
 *
 * Shape     see NoFitPolygon. Holes (places where the moving piece fits inside a notch) are loops that run clockwise.
 * Accuracy  corners are rounded to the grid and welded within 2 units, so a side may lie up to 2 units off.
 * Edges     positions of zero width (a peg in a hole of its own size) are not kept: pieces never fit that tightly.
 * Cost      O(m^2) for m = corners of both: 0.1 to 3 ms.
 */
export function noFitPolygon(fixed: Ring, moving: Ring): NoFitPolygon {
  const curve = convolve(fixed, halfTurned(moving));
  const parts = boundaryParts(curve);
  return joined(weld(parts));
}

/** Directed sides; the first `forward` of them may carry the boundary, the rest run backwards along a reflex corner. */
interface Convolution {
  readonly sides: readonly Side[];
  readonly forward: number;
}

interface Side {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
}

function convolve(p: Ring, q: Ring): Convolution {
  const forward: Side[] = [];
  const backward: Side[] = [];
  carrySides(p, q, 'from-the-first-direction', forward, backward);
  carrySides(q, p, 'to-the-second-direction', forward, backward);
  return { sides: [...forward, ...backward], forward: forward.length };
}

/**
 * Which end of a corner's turning range belongs to it. Two parallel sides must meet once and only once: `p` counts as
 * turned left by an infinitesimal angle, so its sides take the start of a range of `q`, and sides of `q` take the end.
 */
type RangeEnd = 'from-the-first-direction' | 'to-the-second-direction';

function carrySides(sides: Ring, corners: Ring, end: RangeEnd, forward: Side[], backward: Side[]): void {
  const n = sides.xs.length;
  const m = corners.xs.length;
  for (let c = 0; c < m; c++) {
    const [before, after] = [(c + m - 1) % m, (c + 1) % m];
    const [x, y] = [corners.xs[c], corners.ys[c]];
    const [ux, uy] = [x - corners.xs[before], y - corners.ys[before]];
    const [vx, vy] = [corners.xs[after] - x, corners.ys[after] - y];
    const convex = ux * vy - uy * vx > 0;
    for (let s = 0; s < n; s++) {
      const t = (s + 1) % n;
      const [dx, dy] = [sides.xs[t] - sides.xs[s], sides.ys[t] - sides.ys[s]];
      const within = convex ? isWithin(ux, uy, vx, vy, dx, dy, end) : isWithin(vx, vy, ux, uy, dx, dy, end);
      if (!within) continue;
      const [sx, sy, tx, ty] = [sides.xs[s] + x, sides.ys[s] + y, sides.xs[t] + x, sides.ys[t] + y];
      if (convex) forward.push({ ax: sx, ay: sy, bx: tx, by: ty });
      else backward.push({ ax: tx, ay: ty, bx: sx, by: sy });
    }
  }
}

// Is direction d in the range that turns left from u to v, less than half a turn? Exact: whole numbers throughout.
function isWithin(
  ux: number,
  uy: number,
  vx: number,
  vy: number,
  dx: number,
  dy: number,
  end: RangeEnd,
): boolean {
  const past = ux * dy - uy * dx;
  const ahead = dx * vy - dy * vx;
  if (past > 0 && ahead > 0) return true;
  if (end === 'from-the-first-direction') return past === 0 && ux * dx + uy * dy > 0;
  return ahead === 0 && vx * dx + vy * dy > 0;
}

function boundaryParts({ sides, forward }: Convolution): Side[] {
  const parts: Side[] = [];
  const rows = new SideRows(sides);
  for (let i = 0; i < forward; i++) {
    const side = sides[i];
    const cuts = cutsOf(side, i, sides, forward, rows);
    for (let c = 1; c < cuts.length; c++) {
      const [s, t] = [cuts[c - 1], cuts[c]];
      const middle = (s + t) / 2;
      const [dx, dy] = [side.bx - side.ax, side.by - side.ay];
      if (windingRightOf(sides, rows, side, side.ax + middle * dx, side.ay + middle * dy) !== 0) continue;
      parts.push({
        ax: round(side.ax + s * dx),
        ay: round(side.ay + s * dy),
        bx: round(side.ax + t * dx),
        by: round(side.ay + t * dy),
      });
    }
  }
  return parts;
}

/** Rows of sides over each other: as many as keep a row's list short without listing long sides too often. */
const ROWS_MAX = 64;

/** Which sides reach into each of some horizontal rows, so that a ray or a box asks only those it can meet. */
class SideRows {
  readonly lists: readonly Int32Array[];
  private readonly bottom: number;
  private readonly perUnit: number;

  constructor(sides: readonly Side[]) {
    let [bottom, top] = [Infinity, -Infinity];
    for (const { ay } of sides) [bottom, top] = [min(bottom, ay), max(top, ay)];
    const count = max(1, min(ROWS_MAX, sides.length >> 2));
    this.bottom = bottom;
    this.perUnit = count / (top - bottom + 1);
    const found: number[][] = Array.from({ length: count }, () => []);
    for (let i = 0; i < sides.length; i++) {
      const { ay, by } = sides[i];
      for (let row = this.rowOf(min(ay, by)); row <= this.rowOf(max(ay, by)); row++) found[row].push(i);
    }
    this.lists = found.map((list) => Int32Array.from(list));
  }

  rowOf(y: number): number {
    return floor((y - this.bottom) * this.perUnit);
  }
}

/** Where, as shares 0..1 of the side, other forward sides cross it or end on it; sorted, both ends included. */
function cutsOf(
  side: Side,
  index: number,
  sides: readonly Side[],
  forward: number,
  rows: SideRows,
): number[] {
  const cuts = [0, 1];
  const [dx, dy] = [side.bx - side.ax, side.by - side.ay];
  const [left, right] = [min(side.ax, side.bx), max(side.ax, side.bx)];
  const [bottom, top] = [min(side.ay, side.by), max(side.ay, side.by)];
  // A side in two rows is met twice and cut twice at the same share, which counts once.
  for (let row = rows.rowOf(bottom); row <= rows.rowOf(top); row++) {
    for (const k of rows.lists[row]) {
      if (k >= forward) break;
      const other = sides[k];
      if (k === index || max(other.ax, other.bx) < left || min(other.ax, other.bx) > right) continue;
      if (max(other.ay, other.by) < bottom || min(other.ay, other.by) > top) continue;
      addCuts(side, dx, dy, other, cuts);
    }
  }
  return cuts.sort((a, b) => a - b).filter((cut, i, all) => i === 0 || cut > all[i - 1]);
}

function addCuts(side: Side, dx: number, dy: number, other: Side, cuts: number[]): void {
  const start = dx * (other.ay - side.ay) - dy * (other.ax - side.ax);
  const end = dx * (other.by - side.ay) - dy * (other.bx - side.ax);
  if (start === 0 && end === 0) {
    const squared = dx * dx + dy * dy;
    addCut(((other.ax - side.ax) * dx + (other.ay - side.ay) * dy) / squared, cuts);
    addCut(((other.bx - side.ax) * dx + (other.by - side.ay) * dy) / squared, cuts);
    return;
  }
  if ((start > 0 && end > 0) || (start < 0 && end < 0)) return;
  const [ex, ey] = [other.bx - other.ax, other.by - other.ay];
  addCut(((other.ax - side.ax) * ey - (other.ay - side.ay) * ex) / (dx * ey - dy * ex), cuts);
}

function addCut(share: number, cuts: number[]): void {
  if (share > 0 && share < 1) cuts.push(share);
}

/** The winding number just right of `side` at its point (x, y): signed crossings of a ray towards +x. */
function windingRightOf(sides: readonly Side[], rows: SideRows, side: Side, x: number, y: number): number {
  // The point asked about is (x, y) moved by an infinitesimal along the right normal (nx, ny).
  const [nx, ny] = [side.by - side.ay, side.ax - side.bx];
  let winding = 0;
  for (const k of rows.lists[rows.rowOf(y)]) {
    const other = sides[k];
    const aBelow = ny > 0 ? other.ay <= y : other.ay < y;
    const bBelow = ny > 0 ? other.by <= y : other.by < y;
    if (aBelow === bBelow) continue;
    const [ex, ey] = [other.bx - other.ax, other.by - other.ay];
    let offset = ex * (y - other.ay) - ey * (x - other.ax);
    if (abs(offset) <= ON_LINE_UNITS * (abs(ex) + abs(ey))) offset = ex * ny - ey * nx;
    if (aBelow ? offset > 0 : offset < 0) winding += aBelow ? 1 : -1;
  }
  return winding;
}

/** Make corners closer than WELD_UNITS the same, and drop sides that so become points or run back over another. */
function weld(parts: readonly Side[]): Side[] {
  const corners: [number, number][] = [];
  // Cells by number: a text for a key was a third of the whole cost.
  const cornerOf = new Map<number, number>();
  const find = (x: number, y: number): number => {
    const [cx, cy] = [floor(x / WELD_UNITS), floor(y / WELD_UNITS)];
    for (let i = cx - 1; i <= cx + 1; i++) {
      for (let j = cy - 1; j <= cy + 1; j++) {
        const known = cornerOf.get(cellKey(i, j));
        if (known === undefined) continue;
        if (max(abs(corners[known][0] - x), abs(corners[known][1] - y)) <= WELD_UNITS) return known;
      }
    }
    corners.push([x, y]);
    cornerOf.set(cellKey(cx, cy), corners.length - 1);
    return corners.length - 1;
  };
  const kept = new Map<number, [number, number]>();
  const pair = (a: number, b: number): number => a * 2 ** 26 + b;
  for (const part of parts) {
    const [a, b] = [find(part.ax, part.ay), find(part.bx, part.by)];
    if (a === b) continue;
    if (!kept.delete(pair(b, a))) kept.set(pair(a, b), [a, b]);
  }
  return [...kept.values()].map(([a, b]) => {
    const [[ax, ay], [bx, by]] = [corners[a], corners[b]];
    return { ax, ay, bx, by };
  });
}

/** One number for a cell or a corner; coordinates lie below 2^25 either way. */
function cellKey(x: number, y: number): number {
  return (x + 2 ** 25) * 2 ** 26 + (y + 2 ** 25);
}

/** Walk the sides into loops, joining sides that go straight on, and note the turn at both ends of each. */
function joined(sides: readonly Side[]): NoFitPolygon {
  const loops = walkLoops(sides).map(straightened);
  const all = loops.flatMap((loop) =>
    loop.map((side, i) => ({
      side,
      startTurn: turnBetween(loop[(i + loop.length - 1) % loop.length], side),
      endTurn: turnBetween(side, loop[(i + 1) % loop.length]),
    })),
  );
  return {
    fromX: Float64Array.from(all, (s) => s.side.ax),
    fromY: Float64Array.from(all, (s) => s.side.ay),
    toX: Float64Array.from(all, (s) => s.side.bx),
    toY: Float64Array.from(all, (s) => s.side.by),
    startTurn: Float64Array.from(all, (s) => s.startTurn),
    endTurn: Float64Array.from(all, (s) => s.endTurn),
  };
}

function turnBetween(before: Side, after: Side): number {
  return crossOf(before, after) > 0 ? 1 : -1;
}

function crossOf(u: Side, v: Side): number {
  return (u.bx - u.ax) * (v.by - v.ay) - (u.by - u.ay) * (v.bx - v.ax);
}

function walkLoops(sides: readonly Side[]): Side[][] {
  const leaving = new Map<number, Side[]>();
  for (const side of sides) {
    const key = cellKey(side.ax, side.ay);
    const list = leaving.get(key);
    if (list === undefined) leaving.set(key, [side]);
    else list.push(side);
  }
  const used = new Set<Side>();
  const loops: Side[][] = [];
  for (const first of sides) {
    if (used.has(first)) continue;
    const loop: Side[] = [];
    for (let side: Side | undefined = first; side !== undefined && !used.has(side);) {
      used.add(side);
      loop.push(side);
      side = nextSide(side, leaving.get(cellKey(side.bx, side.by)) ?? [], used, first);
    }
    loops.push(loop);
  }
  return loops;
}

/** Where loops touch in a corner, the sharpest left turn stays on the rim of the same part of the overlap. */
function nextSide(
  side: Side,
  choices: readonly Side[],
  used: ReadonlySet<Side>,
  first: Side,
): Side | undefined {
  let best: Side | undefined;
  let bestAngle = -Infinity;
  for (const choice of choices) {
    if (used.has(choice) && choice !== first) continue;
    const [ux, uy] = [side.bx - side.ax, side.by - side.ay];
    const [vx, vy] = [choice.bx - choice.ax, choice.by - choice.ay];
    const angle = atan2(ux * vy - uy * vx, ux * vx + uy * vy);
    if (angle > bestAngle) [best, bestAngle] = [choice, angle];
  }
  return best;
}

function straightened(loop: readonly Side[]): Side[] {
  const kept: Side[] = [];
  for (const side of loop) {
    const last = kept.at(-1);
    if (last !== undefined && last.bx === side.ax && last.by === side.ay && crossOf(last, side) === 0) {
      kept[kept.length - 1] = { ...last, bx: side.bx, by: side.by };
    } else kept.push(side);
  }
  return kept;
}
