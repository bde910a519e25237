import { noFitPolygon, type NoFitPolygon } from './no-fit-polygon.js';
import { flipped, isMovedCopy, type Flip, type Ring } from './ring.js';

// Taken once: inside a test runner every look-up of a global costs more than the arithmetic.
const { abs, ceil, max, min, sqrt } = Math;

/** Cells along the longer side of a no-fit polygon's box. Fewer make longer lists; more are touched once and thrown away. */
const CELLS_ALONG = 40;

/**
 * A cell whose middle lies deeper than this many half diagonals is a plane. Deep overlaps steer, they do not decide:
 * the sign of such a cell is sure, and a list of the sides that are nearest somewhere in it costs five times as much.
 */
const DEEP_FROM = 2;

/** A cell nobody asked about yet, and a cell wholly clear of the other piece. Any other value points into the pool. */
const UNBUILT = 0;
const CLEAR = -1;

/** Kinds of cell in the low two bits: one side rules, or a list whose sign is known to be inside, outside, or mixed. */
const ONE_SIDE = 0;
const LIST_INSIDE = 1;
const LIST_OUTSIDE = 2;
const LIST_MIXED = 3;

/** All ways to mirror about the axes: 1 changes the sign of x, 2 that of y, 3 is half a turn. */
const FLIPS: readonly Flip[] = [0, 1, 2, 3];
const BOTH = 3;

/** Numbers per table in `head`: origin x and y, cells per unit, columns, rows, first cell. */
const HEAD = 8;
/** Numbers per side in a list: start, direction, length, and the sign of the distance beyond either end. */
const SIDE = 7;

/**
 * How deep two pieces overlap, looked up in constant time.
 *
 * depth = gap - (signed distance of the moving origin outside the no-fit polygon), and 0 where that is negative: the
 * distance by which the pair must be pushed apart. The required gap is a level set of the distance, so no outline is
 * ever offset, and corners are rounded exactly.
 *
 * Shape     one table per pair of oriented outlines, shared with the pair swapped and with both turned by half a turn or
 *           mirrored. A table is a grid of cells; a cell knows the sides that can be nearest to a point in it.
 * Accuracy  that of the no-fit polygon (2 grid units), see there; deeper than two cells within a cell's diagonal.
 * Cost      a table or cell is built when first asked for (0.1 to 3 ms, 1 us); a look-up is 1 to 4 side distances.
 */
export class DepthField {
  /** Index of the table of (fixed, moving) times four, plus the flip of the difference of places: 1 for x, 2 for y. */
  readonly tableOf: Int32Array;
  head = new Float64Array(HEAD * 64);
  cells = new Int32Array(1 << 16);
  pool = new Float64Array(1 << 16);
  private readonly polygons: NoFitPolygon[] = [];
  /** Each outline as a flip of the first one of its form, and the table of two forms by the flip between them. */
  private readonly formOf: Int32Array;
  private readonly flipOf: Int32Array;
  private readonly tableOfForms = new Map<number, number>();
  private cellCount = 0;
  private poolSize = SIDE;

  constructor(
    private readonly rings: readonly Ring[],
    /** Required distance between pieces, guard included, in grid units. */
    readonly gap: number,
  ) {
    this.tableOf = new Int32Array(rings.length * rings.length).fill(-1);
    this.formOf = new Int32Array(rings.length);
    this.flipOf = new Int32Array(rings.length);
    this.findForms();
  }

  private findForms(): void {
    // Copies of one form have as many corners and the same extent; only those are compared corner by corner.
    const alike = new Map<string, number[]>();
    for (const [v, ring] of this.rings.entries()) {
      const key = [ring.xs.length, extentOf(ring.xs), extentOf(ring.ys)].join();
      const candidates = alike.get(key) ?? [];
      const found = candidates
        .flatMap((form) => FLIPS.map((flip) => ({ form, flip })))
        .find(({ form, flip }) => isSameRing(flipped(this.rings[form], flip), ring));
      if (found === undefined) {
        alike.set(key, [...candidates, v]);
      }
      this.formOf[v] = found?.form ?? v;
      this.flipOf[v] = found?.flip ?? 0;
    }
  }

  /** The code of a pair for `depth`: build its table if nobody asked before. */
  code(fixed: number, moving: number): number {
    const known = this.tableOf[fixed * this.rings.length + moving];
    return known >= 0 ? known : this.build(fixed, moving);
  }

  /** Tables built so far. */
  get tableCount(): number {
    return this.polygons.length;
  }

  /** Depth with the moving piece's origin at (dx, dy) from the fixed one's. */
  depth(code: number, dx: number, dy: number): number {
    const x = code & 1 ? -dx : dx;
    const y = code & 2 ? -dy : dy;
    const h = (code >> 2) * HEAD;
    const head = this.head;
    const fx = (x - head[h]) * head[h + 2];
    const fy = (y - head[h + 1]) * head[h + 2];
    const columns = head[h + 3];
    if (!(fx >= 0 && fy >= 0 && fx < columns && fy < head[h + 4])) return 0;
    const cell = head[h + 5] + (fy | 0) * columns + (fx | 0);
    let entry = this.cells[cell];
    if (entry === CLEAR) return 0;
    if (entry === UNBUILT) {
      entry = this.buildCell(code >> 2, fx | 0, fy | 0, cell);
      if (entry === CLEAR) return 0;
    }
    const p = entry >> 2;
    if ((entry & 3) === ONE_SIDE) {
      const deep = this.pool[p] * x + this.pool[p + 1] * y + this.pool[p + 2];
      return deep > 0 ? deep : 0;
    }
    return this.depthInList(p, entry & 3, x, y);
  }

  private depthInList(p: number, kind: number, x: number, y: number): number {
    const pool = this.pool;
    let nearest = Infinity;
    let sign = 1;
    for (let e = p + 1, end = p + 1 + pool[p] * SIDE; e < end; e += SIDE) {
      let rx = x - pool[e];
      const ry = y - pool[e + 1];
      const along = rx * pool[e + 2] + ry * pool[e + 3];
      let squared: number;
      let side: number;
      if (along < 0) {
        squared = rx * rx + ry * ry;
        side = pool[e + 5];
      } else {
        const across = pool[e + 2] * ry - pool[e + 3] * rx;
        squared = across * across;
        side = across;
        if (along > pool[e + 4]) {
          rx = along - pool[e + 4];
          squared += rx * rx;
          side = pool[e + 6];
        }
      }
      if (squared < nearest) {
        nearest = squared;
        sign = side;
      }
    }
    if (kind === LIST_INSIDE || (kind === LIST_MIXED && sign >= 0)) return this.gap + sqrt(nearest);
    const deep = this.gap - sqrt(nearest);
    return deep > 0 ? deep : 0;
  }

  /** The way out at (dx, dy): unit direction of steepest escape, valid where depth is above 0; length 0 if unknown. */
  escape(code: number, dx: number, dy: number, out: Float64Array): void {
    const [flipX, flipY] = [code & 1 ? -1 : 1, code & 2 ? -1 : 1];
    const [x, y] = [flipX * dx, flipY * dy];
    const plane = this.planeAt(code >> 2, x, y);
    if (plane >= 0) {
      out[0] = -flipX * this.pool[plane];
      out[1] = -flipY * this.pool[plane + 1];
      return;
    }
    const near = nearestOn(this.polygons[code >> 2], x, y);
    let [ux, uy] = [near.x - x, near.y - y];
    let length = sqrt(ux * ux + uy * uy);
    if (near.sign < 0) {
      ux = -ux;
      uy = -uy;
    }
    if (length < 1e-6) {
      // On the rim itself: out is to the right of the side.
      [ux, uy] = [near.normalX, near.normalY];
      length = 1;
    }
    out[0] = (flipX * ux) / length;
    out[1] = (flipY * uy) / length;
  }

  /** Where in the pool the plane that gives the depth at (x, y) stands; -1 where no single plane does. */
  private planeAt(table: number, x: number, y: number): number {
    const h = table * HEAD;
    const { head } = this;
    const fx = (x - head[h]) * head[h + 2];
    const fy = (y - head[h + 1]) * head[h + 2];
    if (!(fx >= 0 && fy >= 0 && fx < head[h + 3] && fy < head[h + 4])) return -1;
    const entry = this.cells[head[h + 5] + (fy | 0) * head[h + 3] + (fx | 0)];
    return entry > 0 && (entry & 3) === ONE_SIDE ? entry >> 2 : -1;
  }

  /** Corners of the no-fit polygon of a pair, as places of the moving origin relative to the fixed one: all just touch. */
  cornerCount(code: number): number {
    return this.polygons[code >> 2].fromX.length;
  }

  cornerX(code: number, corner: number): number {
    const x = this.polygons[code >> 2].fromX[corner];
    return code & 1 ? -x : x;
  }

  cornerY(code: number, corner: number): number {
    const y = this.polygons[code >> 2].fromY[corner];
    return code & 2 ? -y : y;
  }

  /**
   * With fixed = f A and moving = m B for forms A, B and flips f, m, a difference d of their places overlaps them exactly
   * when f d overlaps A and f m B. Swapped, the difference is negated, which is flipping both ways.
   */
  private build(fixed: number, moving: number): number {
    const n = this.rings.length;
    const [first, second] = fixed <= moving ? [fixed, moving] : [moving, fixed];
    const between = this.flipOf[first] ^ this.flipOf[second];
    const key = (this.formOf[first] * n + this.formOf[second]) * FLIPS.length + between;
    const table = this.tableOfForms.get(key) ?? this.addTable(first, second, between as Flip);
    this.tableOfForms.set(key, table);
    const code = table * 4 + this.flipOf[first];
    this.tableOf[second * n + first] = code ^ BOTH;
    this.tableOf[first * n + second] = code;
    return this.tableOf[fixed * n + moving];
  }

  private addTable(first: number, second: number, between: Flip): number {
    const [a, b] = [this.rings[this.formOf[first]], this.rings[this.formOf[second]]];
    const polygon = noFitPolygon(a, flipped(b, between));
    this.polygons.push(polygon);
    this.layGrid(this.polygons.length - 1, polygon);
    return this.polygons.length - 1;
  }

  private layGrid(table: number, polygon: NoFitPolygon): void {
    const left = minOf(polygon.fromX) - this.gap;
    const bottom = minOf(polygon.fromY) - this.gap;
    const width = maxOf(polygon.fromX) + this.gap - left;
    const height = maxOf(polygon.fromY) + this.gap - bottom;
    const perUnit = CELLS_ALONG / max(width, height);
    const columns = ceil(width * perUnit);
    const rows = ceil(height * perUnit);
    if ((table + 1) * HEAD > this.head.length) this.head = grownFloat(this.head);
    const h = table * HEAD;
    this.head.set([left, bottom, perUnit, columns, rows, this.cellCount], h);
    this.cellCount += columns * rows;
    while (this.cellCount > this.cells.length) this.cells = grownInt(this.cells);
  }

  private buildCell(table: number, column: number, row: number, cell: number): number {
    const entry = this.cellEntry(table, column, row);
    this.cells[cell] = entry;
    return entry;
  }

  private cellEntry(table: number, column: number, row: number): number {
    const h = table * HEAD;
    const size = 1 / this.head[h + 2];
    const x = this.head[h] + (column + 0.5) * size;
    const y = this.head[h + 1] + (row + 0.5) * size;
    const reach = size * Math.SQRT1_2;
    const polygon = this.polygons[table];
    const near = nearestOn(polygon, x, y);
    const distance = sqrt(near.squared);
    const inside = near.sign >= 0;
    if (!inside && distance > reach + this.gap) return CLEAR;
    if (inside && distance > DEEP_FROM * reach) return this.storePlane(near, x, y, distance);
    const sides = sidesWithin(polygon, x, y, distance + 2 * reach);
    if (sides.length === 1 && spansCell(polygon, sides[0], x, y, size / 2))
      return this.storeOneSide(polygon, sides[0]);
    const kind = distance <= reach ? LIST_MIXED : inside ? LIST_INSIDE : LIST_OUTSIDE;
    return this.storeList(polygon, sides, kind);
  }

  /** The plane that has the exact depth at the middle of the cell and rises away from the nearest place of the rim. */
  private storePlane(near: Nearest, x: number, y: number, distance: number): number {
    const p = this.claim(3);
    const [ux, uy] = [(x - near.x) / distance, (y - near.y) / distance];
    this.pool[p] = ux;
    this.pool[p + 1] = uy;
    this.pool[p + 2] = this.gap - ux * near.x - uy * near.y;
    return p << 2;
  }

  private storeOneSide(polygon: NoFitPolygon, i: number): number {
    const p = this.claim(3);
    const [ax, ay, ux, uy] = sideOf(polygon, i);
    this.pool[p] = -uy;
    this.pool[p + 1] = ux;
    this.pool[p + 2] = this.gap + uy * ax - ux * ay;
    return p << 2;
  }

  private storeList(polygon: NoFitPolygon, sides: readonly number[], kind: number): number {
    const p = this.claim(1 + sides.length * SIDE);
    this.pool[p] = sides.length;
    sides.forEach((i, k) => {
      const [ax, ay, ux, uy, length] = sideOf(polygon, i);
      // A point whose nearest place is a corner lies outside a convex corner and inside a reflex one.
      this.pool.set([ax, ay, ux, uy, length, -polygon.startTurn[i], -polygon.endTurn[i]], p + 1 + k * SIDE);
    });
    return (p << 2) | kind;
  }

  private claim(count: number): number {
    const p = this.poolSize;
    this.poolSize += count;
    while (this.poolSize > this.pool.length) this.pool = grownFloat(this.pool);
    return p;
  }
}

interface Nearest {
  squared: number;
  /** Negative when the point asked about is outside. */
  sign: number;
  x: number;
  y: number;
  normalX: number;
  normalY: number;
}

function nearestOn(polygon: NoFitPolygon, x: number, y: number): Nearest {
  const best: Nearest = { squared: Infinity, sign: -1, x, y, normalX: 0, normalY: 0 };
  for (let i = 0; i < polygon.fromX.length; i++) {
    const ax = polygon.fromX[i];
    const ay = polygon.fromY[i];
    const ex = polygon.toX[i] - ax;
    const ey = polygon.toY[i] - ay;
    const squaredLength = ex * ex + ey * ey;
    const along = (x - ax) * ex + (y - ay) * ey;
    const share = along <= 0 ? 0 : along >= squaredLength ? 1 : along / squaredLength;
    const qx = ax + share * ex;
    const qy = ay + share * ey;
    const squared = (x - qx) * (x - qx) + (y - qy) * (y - qy);
    if (squared >= best.squared) continue;
    best.squared = squared;
    best.sign =
      along < 0
        ? -polygon.startTurn[i]
        : along > squaredLength
          ? -polygon.endTurn[i]
          : ex * (y - ay) - ey * (x - ax);
    best.x = qx;
    best.y = qy;
    const length = sqrt(squaredLength);
    best.normalX = ey / length;
    best.normalY = -ex / length;
  }
  return best;
}

function sidesWithin(polygon: NoFitPolygon, x: number, y: number, limit: number): number[] {
  const found: number[] = [];
  for (let i = 0; i < polygon.fromX.length; i++) {
    const [rx, ry] = [x - polygon.fromX[i], y - polygon.fromY[i]];
    const [ex, ey] = [polygon.toX[i] - polygon.fromX[i], polygon.toY[i] - polygon.fromY[i]];
    const share = min(max((rx * ex + ry * ey) / (ex * ex + ey * ey), 0), 1);
    const [qx, qy] = [rx - share * ex, ry - share * ey];
    if (qx * qx + qy * qy <= limit * limit) found.push(i);
  }
  return found;
}

function spansCell(polygon: NoFitPolygon, i: number, x: number, y: number, half: number): boolean {
  const [ax, ay, ux, uy, length] = sideOf(polygon, i);
  const along = (x - ax) * ux + (y - ay) * uy;
  const spread = half * (abs(ux) + abs(uy));
  return along >= spread && along <= length - spread;
}

function sideOf(polygon: NoFitPolygon, i: number): readonly [number, number, number, number, number] {
  const [ax, ay] = [polygon.fromX[i], polygon.fromY[i]];
  const [ex, ey] = [polygon.toX[i] - ax, polygon.toY[i] - ay];
  const length = sqrt(ex * ex + ey * ey);
  return [ax, ay, ex / length, ey / length, length];
}

function isSameRing(a: Ring, b: Ring): boolean {
  return isMovedCopy(a, b) && minOf(a.xs) === minOf(b.xs) && minOf(a.ys) === minOf(b.ys);
}

function extentOf(values: Float64Array): number {
  return maxOf(values) - minOf(values);
}

function minOf(values: Float64Array): number {
  return values.reduce((least, value) => min(least, value), Infinity);
}

function maxOf(values: Float64Array): number {
  return values.reduce((most, value) => max(most, value), -Infinity);
}

function grownFloat(from: Float64Array): Float64Array<ArrayBuffer> {
  const to = new Float64Array(from.length * 2);
  to.set(from);
  return to;
}

function grownInt(from: Int32Array): Int32Array<ArrayBuffer> {
  const to = new Int32Array(from.length * 2);
  to.set(from);
  return to;
}
