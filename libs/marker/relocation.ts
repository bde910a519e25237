import type { Board } from './board.js';
import type { Random } from './random.js';
import type { Task } from './task.js';

// Taken once: inside a test runner every look-up of a global costs more than the arithmetic.
const { abs, max, min, round } = Math;

/** Candidates per allowed variant: anywhere, touching another piece, and around the present place. */
const ANYWHERE = 8;
const TOUCHING = 4;
const AROUND = 8;
/** "Around" reaches this share of the piece's box. */
const AROUND_SHARE = 0.3;
const KEPT = 3;
/** Overlapped neighbours looked at in one push-out; a candidate with more is hopeless anyway. */
const ESCAPES_MAX = 6;
const PUSH_ROUNDS = 4;
/** A kept candidate other than the best is pattern-searched only if within this factor of the best. */
const WORTH_SEARCHING = 1.3;
/** Grid units past the contact, so that a push-out ends clear of it and not on it by rounding. */
const CLEARANCE = 0.01;

/** Moves one overlapping piece to the best place it finds: sampling, push-out, pattern search. */
export class Relocation {
  /** Places tried since the start; the unit of work is a move, this is for profiling. */
  private readonly keptV = new Int32Array(KEPT);
  private readonly keptX = new Float64Array(KEPT);
  private readonly keptY = new Float64Array(KEPT);
  private readonly keptLoss = new Float64Array(KEPT);
  private keptCount = 0;
  private readonly escapes = new Float64Array(3 * ESCAPES_MAX);
  private readonly task: Task;
  // The candidate under refinement.
  private v = 0;
  private px = 0;
  private py = 0;
  private loss = 0;
  private centreX = 0;
  private centreY = 0;
  private margin = 0;
  private piece = 0;

  constructor(
    private readonly board: Board,
    private readonly random: Random,
    /** Pile direction of each garment that must run one way. */
    private readonly bundleDirection: Int32Array,
  ) {
    this.task = board.task;
  }

  /** Relocate piece `i` if a place of lower weighted loss is found. */
  move(i: number): void {
    const { board } = this;
    const present = board.lossAt(i, board.variant[i], board.x[i], board.y[i], Infinity);
    if (present === 0) return;
    this.keptCount = 0;
    this.offer(board.variant[i], board.x[i], board.y[i], present);
    this.sample(i);
    this.piece = i;
    let [bestLoss, bestV, bestX, bestY] = [present, -1, 0, 0];
    for (let c = 0; c < this.keptCount; c++) this.refine(i, c);
    let first = 0;
    for (let c = 1; c < this.keptCount; c++) if (this.keptLoss[c] < this.keptLoss[first]) first = c;
    const worthLoss = this.keptLoss[first] * WORTH_SEARCHING;
    for (let c = 0; c < this.keptCount; c++) {
      if (this.keptLoss[c] > worthLoss) continue;
      if (this.keptLoss[c] > 0) this.searchKept(i, c, 0.1, 0.01);
      if (this.keptLoss[c] >= bestLoss) continue;
      [bestLoss, bestV, bestX, bestY] = [this.keptLoss[c], this.keptV[c], this.keptX[c], this.keptY[c]];
    }
    if (bestV < 0) return;
    if (bestLoss > 0) {
      this.load(i, bestV, bestX, bestY, bestLoss);
      this.patternSearch(0.01, 0.0005);
      this.pushOut();
      [bestX, bestY] = [this.px, this.py];
    }
    board.place(i, bestV, bestX, bestY);
  }

  /** A random allowed place for piece `i` between two x, as [variant, x, y]. */
  anyPlace(i: number, from: number, to: number): readonly [number, number, number] {
    const variants = this.allowed(i);
    const v = variants[this.random.below(variants.length)];
    const x = this.clampX(v, from + this.random.next() * (to - from));
    const y = this.task.yMin[v] + this.random.next() * (this.task.yMax[v] - this.task.yMin[v]);
    return [v, this.snapX(v, x), this.snapY(v, y)];
  }

  /** The allowed place of variant `v` nearest to (x, y). */
  within(v: number, x: number, y: number): readonly [number, number] {
    return [this.snapX(v, this.clampX(v, x)), this.snapY(v, this.clampY(v, y))];
  }

  /** The variants piece `i` may take now. */
  private allowed(i: number): readonly number[] {
    const { variants, bundle } = this.task.pieces[i];
    if (bundle < 0) return variants;
    return variants.filter((v) => this.task.variants[v].direction === this.bundleDirection[bundle]);
  }

  private sample(i: number): void {
    const { board, random, task } = this;
    const { variants, bundle } = task.pieces[i];
    const present = task.variants[board.variant[i]].box;
    const middleX = board.x[i] + (present.left + present.right) / 2;
    const middleY = board.y[i] + (present.bottom + present.top) / 2;
    for (const v of variants) {
      if (bundle >= 0 && task.variants[v].direction !== this.bundleDirection[bundle]) continue;
      const { box } = task.variants[v];
      const [xMin, xMax] = [task.xMin[v], board.length - task.reach[v]];
      const [yMin, yMax] = [task.yMin[v], task.yMax[v]];
      const homeX = middleX - (box.left + box.right) / 2;
      const homeY = middleY - (box.bottom + box.top) / 2;
      if (v !== board.variant[i]) this.tryPlace(i, v, homeX, homeY);
      for (let s = 0; s < ANYWHERE; s++) {
        this.tryPlace(i, v, xMin + random.next() * (xMax - xMin), yMin + random.next() * (yMax - yMin));
      }
      const wide = 2 * AROUND_SHARE * (box.right - box.left);
      const high = 2 * AROUND_SHARE * (box.top - box.bottom);
      for (let s = 0; s < AROUND; s++) {
        this.tryPlace(i, v, homeX + (random.next() - 0.5) * wide, homeY + (random.next() - 0.5) * high);
      }
      for (let s = 0; s < TOUCHING; s++) this.tryTouching(i, v);
    }
  }

  private tryTouching(i: number, v: number): void {
    const { board, random } = this;
    const k = random.below(board.count);
    // Only pairs that have met: a table for every two pieces of a large order would cost more than the search.
    const code = board.field.tableOf[board.variant[k] * this.task.variants.length + v];
    if (k === i || code < 0) return;
    const corner = random.below(board.field.cornerCount(code));
    this.tryPlace(
      i,
      v,
      board.x[k] + board.field.cornerX(code, corner),
      board.y[k] + board.field.cornerY(code, corner),
    );
  }

  private tryPlace(i: number, v: number, wishX: number, wishY: number): void {
    const x = this.snapX(v, this.clampX(v, wishX));
    const y = this.snapY(v, this.clampY(v, wishY));
    const limit = this.keptCount < KEPT ? Infinity : this.keptLoss[KEPT - 1];
    const loss = this.board.lossAt(i, v, x, y, limit);
    if (loss < limit) this.offer(v, x, y, loss);
  }

  /** Keep a candidate among the best few, sorted by loss. */
  private offer(v: number, x: number, y: number, loss: number): void {
    let at = this.keptCount < KEPT ? this.keptCount++ : KEPT - 1;
    for (; at > 0 && this.keptLoss[at - 1] > loss; at--) {
      this.keptLoss[at] = this.keptLoss[at - 1];
      this.keptV[at] = this.keptV[at - 1];
      this.keptX[at] = this.keptX[at - 1];
      this.keptY[at] = this.keptY[at - 1];
    }
    this.keptLoss[at] = loss;
    this.keptV[at] = v;
    this.keptX[at] = x;
    this.keptY[at] = y;
  }

  private refine(i: number, c: number): void {
    if (this.keptLoss[c] === 0) return;
    this.load(i, this.keptV[c], this.keptX[c], this.keptY[c], this.keptLoss[c]);
    this.pushOut();
    this.save(c);
  }

  private searchKept(i: number, c: number, from: number, to: number): void {
    this.load(i, this.keptV[c], this.keptX[c], this.keptY[c], this.keptLoss[c]);
    this.patternSearch(from, to);
    this.save(c);
  }

  private save(c: number): void {
    this.keptX[c] = this.px;
    this.keptY[c] = this.py;
    this.keptLoss[c] = this.loss;
  }

  private load(i: number, v: number, x: number, y: number, loss: number): void {
    const { box } = this.task.variants[v];
    this.piece = i;
    this.v = v;
    this.px = x;
    this.py = y;
    this.loss = loss;
    this.margin = 0.12 * max(box.right - box.left, box.top - box.bottom);
    this.centre();
  }

  /** Gather the neighbourhood anew about the present place. */
  private centre(): void {
    this.centreX = this.px;
    this.centreY = this.py;
    this.board.gather(this.piece, this.v, this.px, this.py, this.margin);
  }

  /**
   * Take the place if its loss is lower.
   *
   * Places beyond the gathered neighbourhood are not tried: such a jump is a guess no better than a sample, and half
   * of all evaluations went there.
   */
  private attempt(wishX: number, wishY: number): boolean {
    const x = this.snapX(this.v, this.clampX(this.v, wishX));
    const y = this.snapY(this.v, this.clampY(this.v, wishY));
    // Asked this way round a place that is not a number is refused too.
    if (!(abs(x - this.centreX) <= this.margin && abs(y - this.centreY) <= this.margin)) return false;
    const loss = this.board.nearLoss(x, y, this.loss);
    if (loss >= this.loss) return false;
    this.px = x;
    this.py = y;
    this.loss = loss;
    return true;
  }

  /**
   * Leave overlaps by their shortest ways out: each alone, each two at once, and each along a wall of the cloth.
   */
  private pushOut(): void {
    for (let round = 0; round < PUSH_ROUNDS && this.loss > 0; round++) {
      const [x, y] = [this.px, this.py];
      const count = this.board.nearEscapes(x, y, this.escapes, ESCAPES_MAX);
      let improved = false;
      for (let a = 0; a < count; a++) {
        if (this.pushAlone(x, y, a)) improved = true;
        for (let b = 0; b < a; b++) if (this.pushBoth(x, y, a, b)) improved = true;
      }
      if (!improved) return;
    }
  }

  private pushAlone(x: number, y: number, a: number): boolean {
    const { escapes: e, v } = this;
    const [ux, uy, depth] = [e[3 * a], e[3 * a + 1], e[3 * a + 2] + CLEARANCE];
    let improved = this.attempt(x + ux * depth, y + uy * depth);
    // Slide along a wall until clear: the wall fixes one coordinate, the way out gives the other.
    if (abs(ux) > 1e-3) {
      for (const wall of [this.task.yMin[v], this.task.yMax[v]]) {
        if (this.attempt(x + (depth - uy * (wall - y)) / ux, wall)) improved = true;
      }
    }
    if (abs(uy) > 1e-3) {
      for (const wall of [this.task.xMin[v], this.board.length - this.task.reach[v]]) {
        if (this.attempt(wall, y + (depth - ux * (wall - x)) / uy)) improved = true;
      }
    }
    return improved;
  }

  private pushBoth(x: number, y: number, a: number, b: number): boolean {
    const e = this.escapes;
    const [ux, uy, vx, vy] = [e[3 * a], e[3 * a + 1], e[3 * b], e[3 * b + 1]];
    const determinant = ux * vy - uy * vx;
    if (abs(determinant) < 1e-3) return false;
    const [p, q] = [e[3 * a + 2] + CLEARANCE, e[3 * b + 2] + CLEARANCE];
    return this.attempt(x + (p * vy - q * uy) / determinant, y + (q * ux - p * vx) / determinant);
  }

  /** Both ways along a random one of four directions; longer steps on success, shorter on failure. Steps are shares of the box. */
  private patternSearch(from: number, to: number): void {
    const { box } = this.task.variants[this.v];
    const [wide, high] = [box.right - box.left, box.top - box.bottom];
    let step = from;
    while (step > to && this.loss > 0) {
      const way = this.random.below(4);
      const dx = way === 1 ? 0 : step * wide;
      const dy = way === 0 ? 0 : way === 3 ? -step * high : step * high;
      const [x, y] = [this.px, this.py];
      const forth = this.attempt(x + dx, y + dy);
      const back = this.attempt(x - dx, y - dy);
      step *= forth || back ? 1.25 : 0.5;
    }
  }

  private clampX(v: number, x: number): number {
    return max(this.task.xMin[v], min(x, this.board.length - this.task.reach[v]));
  }

  private clampY(v: number, y: number): number {
    return max(this.task.yMin[v], min(y, this.task.yMax[v]));
  }

  /** The nearest allowed x that meets the cloth's repeat, for matched pieces only. */
  private snapX(v: number, x: number): number {
    const { match } = this.task.variants[v];
    if (match === undefined || this.task.repeatX === 0) return x;
    return snap(
      x,
      this.task.repeatX,
      this.task.phaseX - match.x,
      this.task.xMin[v],
      this.board.length - this.task.reach[v],
    );
  }

  private snapY(v: number, y: number): number {
    const { match } = this.task.variants[v];
    if (match === undefined || this.task.repeatY === 0) return y;
    return snap(y, this.task.repeatY, this.task.phaseY - match.y, this.task.yMin[v], this.task.yMax[v]);
  }
}

/** The multiple of `repeat` past `phase` nearest to `wish` within the bounds; the lower bound's if there is none. */
function snap(wish: number, repeat: number, phase: number, low: number, high: number): number {
  let k = round((wish - phase) / repeat);
  if (round(phase + k * repeat) > high) k--;
  if (round(phase + k * repeat) < low) k++;
  return round(phase + k * repeat);
}
