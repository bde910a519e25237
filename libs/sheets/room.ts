import { flatten, type Curve, type Point } from '#geometry';
import { boundsOfBox, boxesMeet, boxMeetsLine, isWithin, type Bounds, type Box } from './box.js';

/** Bold lines a label never crosses; fine lines it crosses only when there is no other place. */
export type LineRank = 'bold' | 'fine';

/** What a label has to keep clear of. */
export type Clearance = 'all' | 'bold-and-text' | 'text';

interface DrawnLine {
  readonly from: Point;
  readonly to: Point;
  readonly rank: LineRank;
}

/** Squares of 10 mm: a label touches one to six of them, an A3 page has 1,260. */
const CELL_MM = 10;

/** A label keeps away from a curve by over a millimetre, so a tenth is fine enough to know where it runs. */
const FLATTEN_MM = 0.1;

/**
 * The free room of a page: remembers which lines and boxes are drawn, and answers whether another box is free.
 *
 * It is the one thing here that changes: labels are placed one after the other and each takes its room.
 *
 * Cost  a question looks at the lines and boxes of the squares it touches: about a microsecond per neighbour.
 */
export class Room {
  private readonly lines = new Map<number, DrawnLine[]>();
  private readonly boxes = new Map<number, Box[]>();

  constructor(readonly bounds: Bounds) {}

  addCurves(curves: readonly Curve[], rank: LineRank): void {
    for (const curve of curves) {
      const points = flatten(curve, FLATTEN_MM);
      for (let i = 0; i + 1 < points.length; i++) this.addLine(points[i], points[i + 1], rank);
    }
  }

  addLine(from: Point, to: Point, rank: LineRank): void {
    const drawn = { from, to, rank };
    // Long lines are entered piece by piece, or a slanted one would fill every square of its bounds.
    const steps = Math.max(1, Math.ceil(Math.hypot(to.x - from.x, to.y - from.y) / CELL_MM));
    if (steps === 1) {
      for (const cell of cellsOf(boundsBetween(from, to))) push(this.lines, cell, drawn);
      return;
    }
    const seen = new Set<number>();
    for (let i = 0; i < steps; i++) {
      const a = between(from, to, i / steps);
      const b = between(from, to, (i + 1) / steps);
      for (const cell of cellsOf(boundsBetween(a, b))) {
        if (seen.has(cell)) continue;
        seen.add(cell);
        push(this.lines, cell, drawn);
      }
    }
  }

  addBox(box: Box): void {
    for (const cell of cellsOf(boundsOfBox(box))) push(this.boxes, cell, box);
  }

  isFree(box: Box, clearance: Clearance): boolean {
    const bounds = boundsOfBox(box);
    if (!isWithin(bounds, this.bounds)) return false;
    for (const cell of cellsOf(bounds)) {
      if (this.boxes.get(cell)?.some((other) => boxesMeet(box, other)) === true) return false;
      if (clearance === 'text') continue;
      const blocking = this.lines
        .get(cell)
        ?.some((l) => (clearance === 'all' || l.rank === 'bold') && boxMeetsLine(box, l.from, l.to));
      if (blocking === true) return false;
    }
    return true;
  }

  /** Whether a line, such as a leader, would run through the box of a text. */
  crossesBox(from: Point, to: Point): boolean {
    return cellsOf(boundsBetween(from, to)).some(
      (cell) => this.boxes.get(cell)?.some((box) => boxMeetsLine(box, from, to)) === true,
    );
  }
}

function between(a: Point, b: Point, t: number): Point {
  return { x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t };
}

function boundsBetween(a: Point, b: Point): Bounds {
  return {
    left: Math.min(a.x, b.x),
    right: Math.max(a.x, b.x),
    bottom: Math.min(a.y, b.y),
    top: Math.max(a.y, b.y),
  };
}

/** Row and column of a square in one number; a page is far narrower than 4,096 squares. */
const CELLS_ACROSS = 4096;

function cellsOf(bounds: Bounds): number[] {
  const cells: number[] = [];
  for (let row = Math.floor(bounds.bottom / CELL_MM); row <= Math.floor(bounds.top / CELL_MM); row++) {
    for (
      let column = Math.floor(bounds.left / CELL_MM);
      column <= Math.floor(bounds.right / CELL_MM);
      column++
    ) {
      cells.push(row * CELLS_ACROSS + column);
    }
  }
  return cells;
}

function push<T>(map: Map<number, T[]>, key: number, value: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
