import { DepthField } from './depth-field.js';
import { twiceArea } from './ring.js';
import type { Task } from './task.js';

// Taken once: inside a test runner every look-up of a global costs more than the arithmetic.
const { abs, ceil, max, sqrt } = Math;

/**
 * Depth, as a share of the root of the mean piece area, up to which the loss of a pair grows like a root.
 *
 * With the root alone a piece lying wholly on another is cheap and stays there: from a random start at 84 % no layout
 * came free. With the depth alone many slivers remain. Measured on three instances from 0.003 to 3; 0.01 to 0.03 is best.
 */
const SOFT_SHARE = 0.02;

/**
 * All pieces on the cloth, which of them overlap and by how much, and what each overlap weighs.
 *
 * The loss of a pair is weight x sqrt(depth (depth + soft)) x (area x area)^(1/4): steep at contact, so that many small
 * overlaps are dearer than one, and proportional to the depth when deep.
 */
export class Board {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly variant: Int32Array;
  readonly left: Float64Array;
  readonly right: Float64Array;
  readonly bottom: Float64Array;
  readonly top: Float64Array;
  // The same boxes by middle and half side: two comparisons in place of four tell whether two boxes meet.
  private readonly middleX: Float64Array;
  private readonly middleY: Float64Array;
  private readonly halfX: Float64Array;
  private readonly halfY: Float64Array;
  /** Guided weight of a pair, 1 or more, dense and symmetric. */
  readonly weight: Float64Array;
  /** sqrt(depth (depth + soft)) of a pair as it lies now, dense and symmetric. */
  readonly root: Float64Array;
  /** Fourth root of each piece's area. */
  readonly size: Float64Array;
  /** How many pieces each piece overlaps. */
  readonly overlaps: Int32Array;
  readonly field: DepthField;
  readonly pairA: Int32Array;
  readonly pairB: Int32Array;
  pairCount = 0;
  /** Depth, in grid units, up to which the loss grows like a root; deeper it grows like the depth. */
  soft = 0;
  length = 0;
  private readonly isListed: Uint8Array;
  private readonly cover: Int32Array;
  private readonly coverCount: Int32Array;
  private readonly start: Int32Array;
  private readonly startCount: Int32Array;
  private readonly perBucket: number;
  private readonly buckets: number;
  // The pieces near one place, side by side in memory for the refinement of one candidate.
  private readonly nearPiece: Int32Array;
  private readonly nearCode: Int32Array;
  private readonly nearX: Float64Array;
  private readonly nearY: Float64Array;
  private readonly nearWeight: Float64Array;
  nearCount = 0;

  constructor(
    readonly task: Task,
    lengthMax: number,
  ) {
    const n = task.pieces.length;
    this.count = n;
    [this.x, this.y] = [new Float64Array(n), new Float64Array(n)];
    this.variant = new Int32Array(n);
    [this.left, this.right] = [new Float64Array(n), new Float64Array(n)];
    [this.bottom, this.top] = [new Float64Array(n), new Float64Array(n)];
    [this.middleX, this.middleY] = [new Float64Array(n), new Float64Array(n)];
    [this.halfX, this.halfY] = [new Float64Array(n), new Float64Array(n)];
    this.weight = new Float64Array(n * n).fill(1);
    this.root = new Float64Array(n * n);
    this.overlaps = new Int32Array(n);
    this.isListed = new Uint8Array(n * n);
    this.pairA = new Int32Array((n * (n - 1)) / 2);
    this.pairB = new Int32Array((n * (n - 1)) / 2);
    this.size = Float64Array.from(task.pieces, (piece) =>
      sqrt(sqrt(twiceArea(task.variants[piece.variants[0]].ring) / 2)),
    );
    this.field = new DepthField(
      task.variants.map((variant) => variant.ring),
      task.gap,
    );
    const width = task.pieces.reduce((sum, piece) => {
      const { box } = task.variants[piece.variants[0]];
      return sum + box.right - box.left;
    }, 0);
    this.soft = (SOFT_SHARE * this.size.reduce((a, z) => a + z * z, 0)) / n;
    this.perBucket = 1 / ((0.75 * width) / n);
    this.buckets = ceil(lengthMax * this.perBucket) + 2;
    this.cover = new Int32Array(this.buckets * n);
    this.coverCount = new Int32Array(this.buckets);
    this.start = new Int32Array(this.buckets * n);
    this.startCount = new Int32Array(this.buckets);
    [this.nearPiece, this.nearCode] = [new Int32Array(n), new Int32Array(n)];
    [this.nearX, this.nearY] = [new Float64Array(n), new Float64Array(n)];
    this.nearWeight = new Float64Array(n);
    for (let i = 0; i < n; i++) this.setBox(i, this.task.pieces[i].variants[0], 0, 0);
    for (let i = 0; i < n; i++) this.enterBuckets(i);
  }

  /** Weighted loss of piece `i` if it lay there; stops counting and returns what it has once that reaches `limit`. */
  lossAt(i: number, v: number, x: number, y: number, limit: number): number {
    const { box } = this.task.variants[v];
    const { middleX, middleY, halfX, halfY, field, soft, variant, weight, size } = this;
    const { tableOf } = field;
    const { gap } = this.task;
    const reachX = (box.right - box.left) / 2 + gap;
    const reachY = (box.top - box.bottom) / 2 + gap;
    const atX = x + (box.left + box.right) / 2;
    const atY = y + (box.bottom + box.top) / 2;
    const first = this.bucketOf(atX - reachX);
    const last = this.bucketOf(atX + reachX);
    const n = this.count;
    const row = i * n;
    const variantCount = this.task.variants.length;
    let sum = 0;
    for (let bucket = first; bucket <= last; bucket++) {
      const list = bucket === first ? this.cover : this.start;
      const from = bucket * n;
      const end = from + (bucket === first ? this.coverCount[bucket] : this.startCount[bucket]);
      for (let c = from; c < end; c++) {
        const k = list[c];
        if (abs(atY - middleY[k]) >= reachY + halfY[k] || abs(atX - middleX[k]) >= reachX + halfX[k])
          continue;
        if (k === i) continue;
        let code = tableOf[variant[k] * variantCount + v];
        if (code < 0) code = field.code(variant[k], v);
        const depth = field.depth(code, x - this.x[k], y - this.y[k]);
        if (depth === 0) continue;
        sum += weight[row + k] * size[k] * sqrt(depth * (depth + soft));
        if (sum >= limit) return sum;
      }
    }
    return sum;
  }

  /** Collect the pieces that can meet piece `i` as variant `v` anywhere within `margin` of the place. */
  gather(i: number, v: number, x: number, y: number, margin: number): void {
    const { box } = this.task.variants[v];
    const { middleX, middleY, halfX, halfY } = this;
    const reachX = (box.right - box.left) / 2 + this.task.gap + margin;
    const reachY = (box.top - box.bottom) / 2 + this.task.gap + margin;
    const atX = x + (box.left + box.right) / 2;
    const atY = y + (box.bottom + box.top) / 2;
    const first = this.bucketOf(atX - reachX);
    const last = this.bucketOf(atX + reachX);
    const n = this.count;
    let near = 0;
    for (let bucket = first; bucket <= last; bucket++) {
      const list = bucket === first ? this.cover : this.start;
      const from = bucket * n;
      const end = from + (bucket === first ? this.coverCount[bucket] : this.startCount[bucket]);
      for (let c = from; c < end; c++) {
        const k = list[c];
        if (abs(atY - middleY[k]) >= reachY + halfY[k] || abs(atX - middleX[k]) >= reachX + halfX[k])
          continue;
        if (k === i) continue;
        this.nearPiece[near] = k;
        this.nearCode[near] = this.field.code(this.variant[k], v);
        this.nearX[near] = this.x[k];
        this.nearY[near] = this.y[k];
        this.nearWeight[near] = this.weight[i * n + k] * this.size[k];
        near++;
      }
    }
    this.nearCount = near;
  }

  /** `lossAt` among the gathered pieces only; the caller keeps within the margin. */
  nearLoss(x: number, y: number, limit: number): number {
    const { nearCode, nearX, nearY, nearWeight, field } = this;
    let sum = 0;
    for (let c = 0; c < this.nearCount; c++) {
      const depth = field.depth(nearCode[c], x - nearX[c], y - nearY[c]);
      if (depth === 0) continue;
      sum += nearWeight[c] * sqrt(depth * (depth + this.soft));
      if (sum >= limit) return sum;
    }
    return sum;
  }

  /** The gathered pieces overlapped at the place: way out and depth of each, three numbers a piece, at most `max`. */
  nearEscapes(x: number, y: number, out: Float64Array, max: number): number {
    let found = 0;
    for (let c = 0; c < this.nearCount && found < max; c++) {
      const [dx, dy] = [x - this.nearX[c], y - this.nearY[c]];
      const depth = this.field.depth(this.nearCode[c], dx, dy);
      if (depth === 0) continue;
      this.field.escape(this.nearCode[c], dx, dy, this.escapeWay);
      out[3 * found] = this.escapeWay[0];
      out[3 * found + 1] = this.escapeWay[1];
      out[3 * found + 2] = depth;
      found++;
    }
    return found;
  }

  private readonly escapeWay = new Float64Array(2);

  /** Lay piece `i` there and bring its overlaps up to date. */
  place(i: number, v: number, x: number, y: number): void {
    this.forget(i);
    this.leaveBuckets(i);
    this.setBox(i, v, x, y);
    this.enterBuckets(i);
    this.meet(i);
  }

  /** Lay every piece anew; weights stay. `xs`, `ys`, `vs` as in the fields of the same name. */
  placeAll(xs: Float64Array, ys: Float64Array, vs: Int32Array): void {
    for (let i = 0; i < this.count; i++) {
      if (this.x[i] === xs[i] && this.y[i] === ys[i] && this.variant[i] === vs[i]) continue;
      this.place(i, vs[i], xs[i], ys[i]);
    }
  }

  private setBox(i: number, v: number, x: number, y: number): void {
    const { box } = this.task.variants[v];
    this.x[i] = x;
    this.y[i] = y;
    this.variant[i] = v;
    this.left[i] = x + box.left;
    this.right[i] = x + box.right;
    this.bottom[i] = y + box.bottom;
    this.top[i] = y + box.top;
    this.halfX[i] = (box.right - box.left) / 2;
    this.halfY[i] = (box.top - box.bottom) / 2;
    this.middleX[i] = this.left[i] + this.halfX[i];
    this.middleY[i] = this.bottom[i] + this.halfY[i];
  }

  private forget(i: number): void {
    if (this.overlaps[i] === 0) return;
    const n = this.count;
    for (let k = 0; k < n; k++) {
      if (this.root[i * n + k] === 0) continue;
      this.root[i * n + k] = 0;
      this.root[k * n + i] = 0;
      this.overlaps[k]--;
    }
    this.overlaps[i] = 0;
  }

  private meet(i: number): void {
    const n = this.count;
    this.gather(i, this.variant[i], this.x[i], this.y[i], 0);
    for (let c = 0; c < this.nearCount; c++) {
      const k = this.nearPiece[c];
      const depth = this.field.depth(this.nearCode[c], this.x[i] - this.nearX[c], this.y[i] - this.nearY[c]);
      if (depth === 0) continue;
      const root = sqrt(depth * (depth + this.soft));
      this.root[i * n + k] = root;
      this.root[k * n + i] = root;
      this.overlaps[i]++;
      this.overlaps[k]++;
      this.listPair(i, k);
    }
  }

  private listPair(i: number, k: number): void {
    const [a, b] = i < k ? [i, k] : [k, i];
    if (this.isListed[a * this.count + b] === 1) return;
    this.isListed[a * this.count + b] = 1;
    this.pairA[this.pairCount] = a;
    this.pairB[this.pairCount] = b;
    this.pairCount++;
  }

  /** Sum of the unweighted losses of all overlapping pairs. */
  totalLoss(): number {
    let sum = 0;
    for (let p = 0; p < this.pairCount; p++) sum += this.pairLoss(p);
    return sum;
  }

  private pairLoss(p: number): number {
    const [a, b] = [this.pairA[p], this.pairB[p]];
    return this.root[a * this.count + b] * this.size[a] * this.size[b];
  }

  /** Make overlapping pairs heavier, the worst most, and let the others fade; pairs back at weight 1 are unlisted. */
  reweigh(): void {
    const n = this.count;
    let worst = 0;
    for (let p = 0; p < this.pairCount; p++) worst = max(worst, this.pairLoss(p));
    for (let p = this.pairCount - 1; p >= 0; p--) {
      const [a, b] = [this.pairA[p], this.pairB[p]];
      const loss = this.pairLoss(p);
      const before = this.weight[a * n + b];
      const after = loss > 0 ? before * (1.2 + (0.8 * loss) / worst) : max(1, before * 0.95);
      this.weight[a * n + b] = after;
      this.weight[b * n + a] = after;
      if (loss === 0 && after === 1) this.unlist(p);
    }
  }

  /** Back to weight 1 everywhere. */
  clearWeights(): void {
    const n = this.count;
    for (let p = this.pairCount - 1; p >= 0; p--) {
      const [a, b] = [this.pairA[p], this.pairB[p]];
      this.weight[a * n + b] = 1;
      this.weight[b * n + a] = 1;
      if (this.root[a * n + b] === 0) this.unlist(p);
    }
  }

  private unlist(p: number): void {
    this.isListed[this.pairA[p] * this.count + this.pairB[p]] = 0;
    this.pairCount--;
    this.pairA[p] = this.pairA[this.pairCount];
    this.pairB[p] = this.pairB[this.pairCount];
  }

  private bucketOf(x: number): number {
    const bucket = (x * this.perBucket) | 0;
    return bucket < 0 ? 0 : bucket >= this.buckets ? this.buckets - 1 : bucket;
  }

  private enterBuckets(i: number): void {
    const n = this.count;
    const first = this.bucketOf(this.left[i]);
    const last = this.bucketOf(this.right[i]);
    this.start[first * n + this.startCount[first]++] = i;
    for (let b = first; b <= last; b++) this.cover[b * n + this.coverCount[b]++] = i;
  }

  private leaveBuckets(i: number): void {
    const first = this.bucketOf(this.left[i]);
    const last = this.bucketOf(this.right[i]);
    this.startCount[first] = removeFrom(this.start, first * this.count, this.startCount[first], i);
    for (let b = first; b <= last; b++) {
      this.coverCount[b] = removeFrom(this.cover, b * this.count, this.coverCount[b], i);
    }
  }
}

function removeFrom(list: Int32Array, from: number, count: number, value: number): number {
  for (let c = from + count - 1; c >= from; c--) {
    if (list[c] !== value) continue;
    list[c] = list[from + count - 1];
    return count - 1;
  }
  return count;
}
