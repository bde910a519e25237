import { distance, type Point } from '#geometry';

/** Two points of a file within this of each other are one: a turn point and its vertex, a grade rule and its point. */
const SAME_MM = 0.02;

/** Points by where they lie, to `SAME_MM`. */
export class PointIndex<P extends Point> {
  private readonly cells = new Map<number, P[]>();

  constructor(points: readonly P[]) {
    for (const p of points) {
      const key = keyOf(Math.floor(p.x / CELL_MM), Math.floor(p.y / CELL_MM));
      const cell = this.cells.get(key);
      if (cell === undefined) this.cells.set(key, [p]);
      else if (cell.length < CELL_POINTS_MAX) cell.push(p);
    }
  }

  has(p: Point): boolean {
    return this.at(p) !== undefined;
  }

  /** A point that lies where this one does. */
  at(p: Point): P | undefined {
    if (this.cells.size === 0) return undefined;
    for (const column of columnsNear(p.x))
      for (const row of columnsNear(p.y)) {
        const found = this.cells.get(keyOf(column, row))?.find((q) => distance(p, q) <= SAME_MM);
        if (found !== undefined) return found;
      }
    return undefined;
  }
}

const CELL_MM = 0.5;
const CELL_POINTS_MAX = 32;
/** More squares than lie within a hundred metres to either side, past which nothing is read. */
const COLUMNS = 2 ** 21;

function keyOf(column: number, row: number): number {
  return column * COLUMNS + row;
}

/** The column a place lies in, and the one beside it where that is near. */
function columnsNear(mm: number): number[] {
  const [before, after] = [Math.floor((mm - SAME_MM) / CELL_MM), Math.floor((mm + SAME_MM) / CELL_MM)];
  return before === after ? [before] : [before, after];
}
