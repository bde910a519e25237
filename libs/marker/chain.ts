import { Board } from './board.js';
import { firstLay } from './first-lay.js';
import { isSound } from './is-sound.js';
import { copyOf, emptyLay, type Lay } from './lay.js';
import { LayoutChanges } from './layout-changes.js';
import { Random } from './random.js';
import { Relocation } from './relocation.js';
import { twiceArea } from './ring.js';
import type { StartLay } from './start-lay.js';
import type { Task } from './task.js';

// Taken once: inside a test runner every look-up of a global costs more than the arithmetic.
const { ceil, floor, max, min } = Math;

/** Share of the cloth the pieces cover in a random start. */
const START_UTILISATION = 0.72;
/** Moves per piece that one cycle may take: about 60 ms of a 3 GHz core. */
export const CYCLE_MOVES_PER_PIECE = 1100;
const SEARCH_SHARE = 0.6;
/** Moves between two pauses: about 5 ms. */
const PAUSE_MOVES = 48;
/** The first moves of a large order build a table each; so many take about as long. */
const PAUSE_TABLES = 5;

const SEARCH_STEP_MAX = 0.02;
const SEARCH_STEP_MIN = 0.001;
const SEARCH_PATIENCE = { sweeps: 100, fallbacks: 3 };
/** A start may be longer than it need be: the search shortens it faster than patience would find it. */
const START_PATIENCE = { sweeps: 50, fallbacks: 1 };
const TIGHTEN_PATIENCE = { sweeps: 30, fallbacks: 2 };
/** Failed infeasible layouts kept to restart from, best first. */
const POOL_MAX = 20;
/** Cycles without a new best of the chain before it starts afresh. */
const STALE_CYCLES_MAX = 8;

/** How often a restart turns one garment end for end, where the nap binds each garment to one direction. */
const TURN_GARMENT_SHARE = 0.5;

interface Patience {
  readonly sweeps: number;
  readonly fallbacks: number;
}

/**
 * One independent search: cycles of disturb, separate, search and tighten, each within a fixed number of moves.
 *
 * A layout is found by allowing overlaps and removing them at a fixed length by weighted local moves, then shortening
 * a little and again. The skeleton and the weights follow guided local search for strip packing (Egeblad, Nielsen,
 * Odgaard 2007, EJOR 183; Umetani et al. 2009, ITOR 16; Gardeyn et al. 2025, arXiv 2509.13329).
 *
 * There is no clock and no horizon: what a chain has done after so many moves never depends on how many it will get.
 */
export class Chain {
  readonly board: Board;
  moves = 0;
  cycles = 0;
  /** Layouts that the tables called free and the outlines did not. */
  unsound = 0;
  best: Lay;
  /** Best and second best of the chain of cycles under way. */
  private parent: Lay;
  private second: Lay | undefined;
  private stale = 0;
  /** Where the first cycle begins, until it has. */
  private start: StartLay | undefined;
  private readonly random: Random;
  private readonly relocation: Relocation;
  private readonly changes: LayoutChanges;
  private readonly bundleDirection: Int32Array;
  private readonly low: Lay;
  private readonly order: Int32Array;
  private readonly startLength: number;
  private readonly firstLength: number;
  private readonly lengthMax: number;
  private nextPause = PAUSE_MOVES;
  private nextTables = PAUSE_TABLES;

  constructor(
    private readonly task: Task,
    seed: number,
    stream: number,
  ) {
    this.random = new Random(seed, stream);
    const area = task.pieces.reduce(
      (sum, piece) => sum + twiceArea(task.variants[piece.variants[0]].ring) / 2,
      0,
    );
    const widest = task.pieces.reduce((most, piece) => max(most, narrowestReach(task, piece.variants)), 0);
    this.startLength = max(area / task.height / START_UTILISATION, widest * 1.001);
    const sum = task.pieces.reduce((total, piece) => total + narrowestReach(task, piece.variants), 0);
    this.lengthMax = max(this.startLength * 3, min(sum, this.startLength * 8));
    this.board = new Board(task, this.lengthMax);
    this.bundleDirection = new Int32Array(
      1 + task.pieces.reduce((most, { bundle }) => max(most, bundle), -1),
    );
    this.relocation = new Relocation(this.board, this.random, this.bundleDirection);
    this.changes = new LayoutChanges(task, this.board, this.random, this.relocation, this.bundleDirection);
    const count = task.pieces.length;
    this.order = new Int32Array(count);
    this.low = emptyLay(count);
    this.best = firstLay(task);
    this.firstLength = this.best.length;
    this.parent = emptyLay(count);
  }

  /** Run for ever, pausing about every 5 ms of work. */
  *run(): Generator<void, never> {
    for (;;) {
      yield* this.cycle();
      this.cycles++;
    }
  }

  private *cycle(): Generator<void> {
    const from = this.moves;
    const budget = CYCLE_MOVES_PER_PIECE * this.board.count;
    const isFirst = this.parent.length === Infinity;
    if (isFirst) yield* this.startAfresh();
    else if (!(yield* this.restartPartly())) return;
    const current = this.taken();
    this.keep(current);
    yield* this.search(current, from + budget * SEARCH_SHARE, isFirst);
    yield* this.tighten(current, from + budget, 0.001, 0.00001);
    this.judge(current);
  }

  private judge(current: Lay): void {
    if (current.length < this.parent.length) {
      if (this.parent.length < Infinity) this.second = this.parent;
      this.parent = current;
      this.stale = 0;
      return;
    }
    if (this.second === undefined || current.length < this.second.length) this.second = current;
    if (++this.stale < STALE_CYCLES_MAX) return;
    this.stale = 0;
    this.parent = emptyLay(this.board.count);
    this.second = undefined;
  }

  /**
   * Begin at places found before, instead of at random.
   *
   * When all pieces have one and the outlines prove them free, that is the chain's best so far and is improved like any
   * other; what is not so is repaired first. To be called before the chain runs.
   */
  startFrom(start: StartLay): void {
    const { board, task } = this;
    board.length = min(start.lay.length, this.lengthMax);
    start.lay.vs.forEach((v, i) => {
      const [x, y] = this.relocation.within(v, start.lay.xs[i], start.lay.ys[i]);
      board.place(i, v, x, y);
    });
    this.changes.readDirections();
    const lay = this.taken();
    const isWhole = start.isPlaced.every((isPlaced) => isPlaced);
    if (isWhole && isSound(task, lay, task.gap - task.guard)) {
      this.parent = lay;
      if (lay.length < this.best.length) this.best = copyOf(lay);
    } else this.start = { ...start, lay };
  }

  private *startAfresh(): Generator<void> {
    const { board, random, start } = this;
    this.start = undefined;
    board.clearWeights();
    let from = 0;
    if (start === undefined) {
      board.length = this.startLength;
      this.bundleDirection.fill(0);
      for (let g = 1; g < this.bundleDirection.length; g++) this.bundleDirection[g] = random.below(2);
    } else {
      this.restore(start.lay);
      // Thrown among pieces that lie well, the others would only disturb them: they get cloth of their own behind.
      const areas = board.size.map((root) => root ** 4);
      const missing = areas.reduce((sum, area, i) => (start.isPlaced[i] ? sum : sum + area), 0);
      const share = missing / areas.reduce((sum, area) => sum + area, 0);
      from = 0.9 * board.length * (1 - share);
      board.length = min(board.length + share * this.startLength, this.lengthMax);
    }
    for (let i = 0; i < board.count; i++) {
      if (start?.isPlaced[i] === true) continue;
      const [v, x, y] = this.relocation.anyPlace(i, from, board.length);
      board.place(i, v, x, y);
      if (this.isPause()) yield;
    }
    // Outlines that never interlock need far more cloth than the first guess; growing ever faster gets there soon.
    const first = this.firstLength;
    for (
      let growth = 1.02;
      board.length < first && !(yield* this.separate(START_PATIENCE));
      growth = growth ** 1.5
    )
      board.length *= growth;
    if (board.length >= first) this.restore(firstLay(this.task));
  }

  /** From the chain's best or second best: loosen, throw the pieces of one stretch of cloth about, and separate. */
  private *restartPartly(): Generator<void, boolean> {
    const { board, random } = this;
    const from = this.second !== undefined && random.next() < 0.3 ? this.second : this.parent;
    this.restore(from);
    const wide = (0.17 + 0.35 * random.next()) * from.length;
    const left = random.next() * (from.length - wide);
    this.changes.lengthen(0.015 * from.length, left + wide);
    if (random.next() < TURN_GARMENT_SHARE) this.changes.turnGarment();
    for (let i = 0; i < board.count; i++) {
      const centre = (board.left[i] + board.right[i]) / 2;
      if (centre < left || centre > left + wide) continue;
      const half = (board.right[i] - board.left[i]) / 2;
      const [v, x, y] = this.relocation.anyPlace(i, left - half, left + wide - half);
      board.place(i, v, x, y);
      if (this.isPause()) yield;
    }
    for (let attempt = 0; attempt < 6; attempt++) {
      if (yield* this.separate(SEARCH_PATIENCE)) return true;
      this.changes.lengthen(0.01 * from.length, left + wide / 2);
    }
    return false;
  }

  /** Shorten in steps that grow on success and shrink on failure. */
  private *search(current: Lay, untilMoves: number, isFirst: boolean): Generator<void> {
    let step = isFirst ? SEARCH_STEP_MAX : 0.005;
    let failures = 0;
    const pool: { lay: Lay; loss: number }[] = [];
    while (this.moves < untilMoves && failures < (isFirst ? Infinity : 4)) {
      this.restore(current);
      if (isFirst && failures > 0 && pool.length > 0) this.disturb(pool, current, step);
      else this.changes.shorten(current.length * step);
      if (yield* this.separate(SEARCH_PATIENCE)) {
        this.keep(current);
        step = min(step * 1.5, SEARCH_STEP_MAX);
        failures = 0;
        pool.length = 0;
        continue;
      }
      if (step <= SEARCH_STEP_MIN) {
        failures++;
        if (isFirst) this.remember(pool);
      }
      step = max(step * 0.5, SEARCH_STEP_MIN);
    }
  }

  private remember(pool: { lay: Lay; loss: number }[]): void {
    pool.push({ lay: this.taken(), loss: this.board.totalLoss() });
    pool.sort((a, b) => a.loss - b.loss);
    if (pool.length > POOL_MAX) pool.pop();
  }

  /** Take one of the failed layouts, the better the likelier, and exchange large pieces of different shape in it. */
  private disturb(pool: { lay: Lay; loss: number }[], current: Lay, step: number): void {
    const { board, random } = this;
    const share = random.next();
    const { lay } = pool[floor(share * share * pool.length)];
    board.placeAll(lay.xs, lay.ys, lay.vs);
    board.length = current.length * (1 - step);
    this.changes.readDirections();
    const large = [...board.size.keys()].sort((a, b) => board.size[b] - board.size[a]);
    const among = max(2, ceil(large.length * 0.4));
    for (let swap = 1 + random.below(2); swap > 0; swap--) {
      const [a, b] = [large[random.below(among)], large[random.below(among)]];
      if (board.size[a] !== board.size[b]) this.changes.exchange(a, b);
    }
    this.changes.clampAll();
  }

  /** Shorten by ever smaller steps from the best, with little patience. */
  private *tighten(current: Lay, untilMoves: number, from: number, to: number): Generator<void> {
    const start = this.moves;
    while (this.moves < untilMoves) {
      const done = (this.moves - start) / (untilMoves - start);
      const step = from + (to - from) * done;
      this.restore(current);
      this.changes.shorten(current.length * step);
      if (yield* this.separate(TIGHTEN_PATIENCE)) this.keep(current);
    }
  }

  /**
   * Remove all overlaps at the present length, or give up.
   *
   * Sweeps of moves over the overlapping pieces, weights after each. After `sweeps` sweeps without a lower loss it falls
   * back to the lowest, keeping the weights; `fallbacks` of those without progress end it.
   */
  private *separate(patience: Patience): Generator<void, boolean> {
    const { board, low } = this;
    // A separation costs at least one unit of work, or a marker of one piece would search for ever between two pauses.
    if (this.countMove()) yield;
    board.clearWeights();
    let lowest = board.totalLoss();
    this.take(low);
    let idle = 0;
    let fallbacks = 0;
    while (lowest > 0) {
      yield* this.sweep();
      const loss = board.totalLoss();
      if (loss === 0) return this.isProven();
      if (loss < lowest) {
        if (loss < 0.98 * lowest) fallbacks = 0;
        lowest = loss;
        this.take(low);
        idle = 0;
      } else if (++idle >= patience.sweeps) {
        if (++fallbacks >= patience.fallbacks) break;
        idle = 0;
        board.placeAll(low.xs, low.ys, low.vs);
      }
      board.reweigh();
    }
    if (lowest > 0) board.placeAll(low.xs, low.ys, low.vs);
    return lowest === 0 && this.isProven();
  }

  /** Ask the outlines themselves; a table that called an overlap free only costs this one separation. */
  private isProven(): boolean {
    this.take(this.low);
    if (isSound(this.task, this.low, this.task.gap - this.task.guard)) return true;
    this.unsound++;
    return false;
  }

  /** Forget everything found since `lay`: what came after it was refused. */
  goBackTo(lay: Lay): void {
    this.best = copyOf(lay);
    this.parent = emptyLay(this.board.count);
    this.second = undefined;
    this.stale = 0;
  }

  private *sweep(): Generator<void> {
    const { board, order, random } = this;
    let count = 0;
    for (let i = 0; i < board.count; i++) if (board.overlaps[i] > 0) order[count++] = i;
    for (let c = count - 1; c >= 0; c--) {
      const pick = random.below(c + 1);
      const i = order[pick];
      order[pick] = order[c];
      if (board.overlaps[i] === 0) continue;
      this.relocation.move(i);
      if (this.countMove()) yield;
    }
  }

  /** Count one unit of work; true when it is time to pause. */
  private countMove(): boolean {
    this.moves++;
    return this.isPause();
  }

  /** True when so many moves or new tables have passed that a caller may want to look up. */
  private isPause(): boolean {
    const { tableCount } = this.board.field;
    if (this.moves < this.nextPause && tableCount < this.nextTables) return false;
    this.nextPause = this.moves + PAUSE_MOVES;
    this.nextTables = tableCount + PAUSE_TABLES;
    return true;
  }

  private restore(lay: Lay): void {
    this.board.length = lay.length;
    this.board.placeAll(lay.xs, lay.ys, lay.vs);
    this.changes.readDirections();
  }

  /** Copy the board into `lay`, at the length its pieces really take. */
  private take(lay: Lay): void {
    const { board, task } = this;
    lay.xs.set(board.x);
    lay.ys.set(board.y);
    lay.vs.set(board.variant);
    lay.length = 0;
    for (let i = 0; i < board.count; i++) {
      lay.length = max(lay.length, board.x[i] + task.reach[board.variant[i]]);
    }
  }

  /** Take the board as the cycle's current layout, and as the best of all if it is. */
  private keep(current: Lay): void {
    this.take(current);
    if (current.length < this.best.length) this.best = copyOf(current);
  }

  private taken(): Lay {
    const lay = emptyLay(this.board.count);
    this.take(lay);
    return lay;
  }
}

/** The least length of cloth a piece needs, over its variants. */
function narrowestReach(task: Task, variants: readonly number[]): number {
  return variants.reduce((least, v) => min(least, task.reach[v] + task.xMin[v]), Infinity);
}
