import type { Board } from './board.js';
import type { Random } from './random.js';
import type { Relocation } from './relocation.js';
import type { Task } from './task.js';

/** What a search does to a whole layout at once; the overlaps it makes are for separation to remove. */
export class LayoutChanges {
  constructor(
    private readonly task: Task,
    private readonly board: Board,
    private readonly random: Random,
    private readonly relocation: Relocation,
    private readonly bundleDirection: Int32Array,
  ) {}

  /** Lengthen the cloth at a line: what lies right of it moves right. */
  lengthen(by: number, line: number): void {
    const { board } = this;
    board.length += by;
    for (let i = 0; i < board.count; i++) {
      if ((board.left[i] + board.right[i]) / 2 > line)
        this.placeWithin(i, board.variant[i], board.x[i] + by, board.y[i]);
    }
  }

  /** Cut the cloth short at a random line: what lies right of it moves left. */
  shorten(by: number): void {
    const { board } = this;
    const line = this.random.next() * board.length;
    board.length -= by;
    for (let i = 0; i < board.count; i++) {
      if ((board.left[i] + board.right[i]) / 2 > line)
        this.placeWithin(i, board.variant[i], board.x[i] - by, board.y[i]);
    }
    this.clampAll();
  }

  clampAll(): void {
    const { board } = this;
    for (let i = 0; i < board.count; i++) {
      if (board.x[i] + this.task.reach[board.variant[i]] > board.length) {
        this.placeWithin(i, board.variant[i], board.x[i], board.y[i]);
      }
    }
  }

  exchange(a: number, b: number): void {
    const { board } = this;
    const [ax, ay] = [(board.left[a] + board.right[a]) / 2, (board.bottom[a] + board.top[a]) / 2];
    const [bx, by] = [(board.left[b] + board.right[b]) / 2, (board.bottom[b] + board.top[b]) / 2];
    this.placeCentred(a, board.variant[a], bx, by);
    this.placeCentred(b, board.variant[b], ax, ay);
  }

  private placeCentred(i: number, v: number, x: number, y: number): void {
    const { box } = this.task.variants[v];
    this.placeWithin(i, v, x - (box.left + box.right) / 2, y - (box.bottom + box.top) / 2);
  }

  private placeWithin(i: number, v: number, x: number, y: number): void {
    const [cx, cy] = this.relocation.within(v, x, y);
    this.board.place(i, v, cx, cy);
  }

  /** The pile direction of every garment as its pieces lie now. */
  readDirections(): void {
    const { board, task } = this;
    for (let i = 0; i < board.count; i++) {
      const { bundle } = task.pieces[i];
      if (bundle >= 0) this.bundleDirection[bundle] = task.variants[board.variant[i]].direction;
    }
  }

  /** Turn a random garment end for end, each piece about its own middle; separation repairs what that disturbs. */
  turnGarment(): void {
    const { board, task, random } = this;
    if (this.bundleDirection.length === 0) return;
    const garment = random.below(this.bundleDirection.length);
    this.bundleDirection[garment] = 1 - this.bundleDirection[garment];
    for (let i = 0; i < board.count; i++) {
      if (task.pieces[i].bundle !== garment) continue;
      const x = (board.left[i] + board.right[i]) / 2;
      const y = (board.bottom[i] + board.top[i]) / 2;
      const [v] = this.relocation.anyPlace(i, 0, board.length);
      this.placeCentred(i, v, x, y);
    }
  }
}
