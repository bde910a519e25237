import { add, at, cubic, distance, lerp, line, scale, turnAbout, way, type Curve, type Point } from '#geometry';
import type { EdgeRole } from '#pattern';
import type { ReadyBlock, ReadyPiece, Strand } from './stations.js';

/** How one edge was turned: as a whole, and what its ends had to turn beyond that to meet their neighbours. */
export interface Turn {
  readonly wholeRad: number;
  readonly startRad: number;
  readonly endRad: number;
}

/** A piece drawn for some amounts: a curve and its turn for each edge. */
export interface RedrawnPiece {
  readonly curves: readonly Curve[];
  readonly turns: readonly Turn[];
}

export interface RedrawnBlock {
  readonly front: RedrawnPiece;
  readonly back: RedrawnPiece;
}

/**
 * The block drawn for some amounts.
 *
 * Each curve follows its end points by similarity: turned and scaled, not bent. What its ends then miss their
 * neighbours by is made good at the ends alone, by turning the handle there: along a seam the softer curve takes more of
 * it and a line none; at fork, side waist, centre waist and over closed darts both sides turn so that the corner, or the
 * sum of two, stays what it was. An end that nothing holds turns against the other, which bends the curve least.
 */
export function redrawn(ready: ReadyBlock, amounts: Float64Array): RedrawnBlock {
  const front = new Redrawing(ready.front, amounts);
  const back = new Redrawing(ready.back, amounts);
  for (const piece of [front, back]) piece.alongSeams();
  joinAtFork(front, back);
  joinAtSideWaist(front, back);
  for (const piece of [front, back]) piece.waistCorners();
  return { front: piece(front), back: piece(back) };
}

function piece(drawing: Redrawing): RedrawnPiece {
  return { curves: drawing.curves(), turns: drawing.turns };
}

type MutableTurn = { -readonly [Key in keyof Turn]: Turn[Key] };

/** A flat end of the rise at the fork no longer than this keeps its angle to the inseam. */
const FLAT_END_MM = 60;

class Redrawing {
  readonly points: Point[];
  turns: MutableTurn[];

  constructor(
    readonly ready: ReadyPiece,
    amounts: Float64Array,
  ) {
    this.points = ready.joints.map((joint) => {
      let { x, y } = joint.at;
      for (const share of joint.shares) {
        x += share.x * amounts[share.amount];
        y += share.y * amounts[share.amount];
      }
      return at(x, y);
    });
    this.placeApexes();
    this.turns = ready.strands.map((_, i) => this.turnOf(i));
  }

  get count(): number {
    return this.points.length;
  }

  next(i: number): number {
    return (i + 1) % this.count;
  }

  role(i: number): EdgeRole {
    return this.ready.strands[i].edge.role;
  }

  strand(i: number): Strand {
    return this.ready.strands[i];
  }

  turnOf(i: number): MutableTurn {
    const before = way(this.ready.joints[i].at, this.ready.joints[this.next(i)].at);
    const after = way(this.points[i], this.points[this.next(i)]);
    const wholeRad = Math.atan2(
      before.x * after.y - before.y * after.x,
      before.x * after.x + before.y * after.y,
    );
    return { wholeRad, startRad: 0, endRad: 0 };
  }

  first(role: EdgeRole): number {
    return this.ready.strands.findIndex(({ edge }) => edge.role === role);
  }

  last(role: EdgeRole): number {
    return this.ready.strands.findLastIndex(({ edge }) => edge.role === role);
  }

  isLine(i: number): boolean {
    return this.strand(i).edge.curve.kind === 'line';
  }

  /** A dart keeps its length: its point lies off the new mouth as it lay off the old. */
  private placeApexes(): void {
    for (let i = 0; i < this.count; i++) {
      const k = this.next(i);
      if (this.role(i) !== 'dart' || this.role(k) !== 'dart' || (i > 0 && this.role(i - 1) === 'dart')) continue;
      const { joints } = this.ready;
      const [a, b] = [joints[i].at, joints[this.next(k)].at];
      const [c, d] = [this.points[i], this.points[this.next(k)]];
      const mouth = way(a, b);
      const size = distance(a, b);
      const off = way(lerp(a, b, 0.5), joints[k].at);
      const alongShare = (off.x * mouth.x + off.y * mouth.y) / (size * size);
      const outMm = (mouth.x * off.y - mouth.y * off.x) / size;
      const now = way(c, d);
      const wide = distance(c, d);
      const out = { x: (-now.y / wide) * outMm, y: (now.x / wide) * outMm };
      this.points[k] = add(lerp(c, d, 0.5 + alongShare), out);
    }
  }

  /** Smooth joints of one seam: a line keeps its direction, of two curves the one with more bend gives more. */
  alongSeams(): void {
    for (const role of ['rise', 'inseam', 'outseam', 'hem', 'waist'] as const) {
      for (let i = 0; i < this.count; i++) if (this.isJoint(i, role)) this.holdToLine(i);
      for (let i = 0; i < this.count; i++) if (this.isJoint(i, role)) this.shareBetweenCurves(i);
    }
    this.freeEnd(this.first('inseam'), 'start');
    this.freeEnd(this.last('outseam'), 'end');
  }

  private isJoint(i: number, role: EdgeRole): boolean {
    return this.role(i) === role && this.role(this.next(i)) === role && this.strand(i).smooth;
  }

  private holdToLine(i: number): void {
    const k = this.next(i);
    const byRad = this.turns[k].wholeRad - this.turns[i].wholeRad;
    if (this.isLine(k) && !this.isLine(i)) this.turns[i].endRad = byRad;
    if (this.isLine(i) && !this.isLine(k)) this.turns[k].startRad = -byRad;
  }

  private shareBetweenCurves(i: number): void {
    const k = this.next(i);
    if (this.isLine(i) || this.isLine(k)) return;
    // What each would like best: to turn against its other end.
    const wishI = -this.turns[i].startRad;
    const wishK = -this.turns[k].endRad;
    const apart = this.turns[k].wholeRad + wishK - this.turns[i].wholeRad - wishI;
    const [softI, softK] = [this.strand(i).bend, this.strand(k).bend];
    const share = softI + softK === 0 ? 0.5 : softI / (softI + softK);
    this.turns[i].endRad = wishI + apart * share;
    this.turns[k].startRad = wishK - apart * (1 - share);
  }

  private freeEnd(i: number, end: 'start' | 'end'): void {
    if (this.isLine(i)) return;
    if (end === 'start') this.turns[i].startRad = -this.turns[i].endRad;
    else this.turns[i].endRad = -this.turns[i].startRad;
  }

  startTurn(i: number): number {
    return this.turns[i].wholeRad + this.turns[i].startRad;
  }

  endTurn(i: number): number {
    return this.turns[i].wholeRad + this.turns[i].endRad;
  }

  /** A short straight before the fork, which cannot bend, is laid with the inseam it meets. */
  layFlatEnd(): boolean {
    const i = this.last('rise');
    const before = i - 1;
    const isFlat = this.isLine(i) && this.strand(i).chordMm <= FLAT_END_MM;
    if (!isFlat || before < 0 || this.role(before) !== 'rise') return this.isLine(i);
    const byRad = this.startTurn(this.next(i));
    const flat = way(this.ready.joints[this.next(i)].at, this.ready.joints[i].at);
    this.points[i] = add(this.points[this.next(i)], turnAbout(flat, { x: 0, y: 0 }, byRad));
    this.turns[i] = this.turnOf(i);
    const { startRad } = this.turns[before];
    const kept = this.turns[before].wholeRad + startRad;
    this.turns[before] = this.turnOf(before);
    if (!this.isLine(before)) {
      this.turns[before].startRad = kept - this.turns[before].wholeRad;
      this.turns[before].endRad = byRad - this.turns[before].wholeRad;
    }
    return true;
  }

  waistCorners(): void {
    for (let i = 0; i < this.count; i++) if (this.role(i) === 'waist') this.joinOverDart(i);
    const i = this.last('waist');
    this.turns[i].endRad = this.startTurn(this.first('rise')) - this.turns[i].wholeRad;
  }

  private joinOverDart(i: number): void {
    const legs = [this.next(i), this.next(this.next(i))];
    const k = this.next(legs[1]);
    if (!legs.every((leg) => this.role(leg) === 'dart') || this.role(k) !== 'waist') return;
    const shutRad = this.turns[legs[0]].wholeRad - this.turns[legs[1]].wholeRad;
    const missRad = shutRad - (this.turns[i].wholeRad - this.turns[k].wholeRad);
    this.turns[i].endRad = missRad / 2;
    this.turns[k].startRad = -missRad / 2;
  }

  curves(): Curve[] {
    return this.ready.strands.map((strand, i) => this.follow(strand, i));
  }

  private follow(strand: Strand, i: number): Curve {
    const { curve, role } = strand.edge;
    const [p0, p3] = [this.points[i], this.points[this.next(i)]];
    const { wholeRad, startRad, endRad } = this.turns[i];
    if (curve.kind === 'line') {
      const bends = role === 'waist' && Math.max(Math.abs(startRad), Math.abs(endRad)) > STRAIGHT_RAD;
      if (!bends) return line(p0, p3);
    }
    const size = distance(p0, p3) / strand.chordMm;
    const [q0, q1, q2, q3] = handles(curve);
    const first = scale(turnAbout(way(q0, q1), ORIGIN, wholeRad + startRad), size);
    const second = scale(turnAbout(way(q3, q2), ORIGIN, wholeRad + endRad), size);
    return cubic(p0, add(p0, first), add(p3, second), p3);
  }
}

const ORIGIN: Point = { x: 0, y: 0 };

/** A straight waist whose ends need less than this stays straight: a thirtieth of what a square corner may be off. */
const STRAIGHT_RAD = 6e-4;

function handles(curve: Curve): readonly [Point, Point, Point, Point] {
  if (curve.kind === 'cubic') return [curve.p0, curve.p1, curve.p2, curve.p3];
  const { p0, p1 } = curve;
  return [p0, lerp(p0, p1, 1 / 3), lerp(p0, p1, 2 / 3), p1];
}

/** The two corners at the fork keep their sum; each crotch curve turns as it bends least. */
function joinAtFork(front: Redrawing, back: Redrawing): void {
  const pieces = [front, back];
  const stiff = pieces.map((drawing) => drawing.layFlatEnd());
  const miss = pieces.map((drawing) => {
    const i = drawing.last('rise');
    return drawing.startTurn(drawing.next(i)) - drawing.turns[i].wholeRad;
  });
  const soft = pieces.filter((_, k) => !stiff[k]);
  const wishes = soft.map((drawing) => -drawing.turns[drawing.last('rise')].startRad);
  // A stiff one has its corner as it lies; what that misses the others take.
  const restRad = miss[0] + miss[1] - wishes.reduce((sum, wish) => sum + wish, 0);
  soft.forEach((drawing, k) => {
    drawing.turns[drawing.last('rise')].endRad = wishes[k] + restRad / soft.length;
  });
}

/** The two corners at the side waist keep their sum. */
function joinAtSideWaist(front: Redrawing, back: Redrawing): void {
  const missRad = [front, back].reduce((sum, drawing) => {
    const side = drawing.last('outseam');
    return sum + drawing.endTurn(side) - drawing.turns[drawing.first('waist')].wholeRad;
  }, 0);
  for (const drawing of [front, back]) drawing.turns[drawing.first('waist')].startRad = missRad / 2;
}
