import {
  add,
  distance,
  dot,
  endDirection,
  line,
  norm,
  opposite,
  scale,
  unit,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { fitted, mostAlong, type EndWays, type Fitted } from './cubic-fit.js';

/** One curve of a line that was given as points. */
export interface FairCurve {
  readonly curve: Curve;
  /** The points it stands for, counted in the line. */
  readonly first: number;
  readonly last: number;
}

export interface FairLine {
  readonly curves: readonly FairCurve[];
  /** How far the farthest given point lies from the curves. */
  readonly deviationMm: number;
  /** Points that are not needed: they lie on a straight line between others. */
  readonly removed: number;
}

/**
 * What a fit aims at, as a share of what it may be off. A curve that strays by the whole tolerance over its last ten
 * millimetres has turned its corner by a quarter of a degree.
 */
const AIM = 0.3;
/** Two cubics that share their points to spare a short rest may be off by this share. */
const AIM_SHARED = 0.6;
const REST_POINTS_MIN = 6;
/** A curve may be longer by this than the turns of its points allow. */
const STRAY_MM = 0.02;

/**
 * Fair curves through the points of a line.
 *
 * Shape     turn points split the line; between two of them stands a straight line, or cubics that meet with one
 *           tangent. `turns[i]` says whether point i is a turn point; the ends of an open line are.
 * Accuracy  no point lies further than `toleranceMm` from the curves; `deviationMm` says how far the farthest does.
 *           A run of points within a fifth of the tolerance of a straight line becomes that line.
 * Edges     a closed line without turn points is split at its first point, smoothly as far as its neighbours say.
 * Source    least squares with reparameterisation and splitting at the largest error: Schneider, "An algorithm for
 *           automatically fitting digitized curves", Graphics Gems (1990), from memory.
 * Cost      about 0.1 ms for a seam of 60 points.
 */
export function fairCurves(
  points: readonly Point[],
  turns: readonly boolean[],
  closed: boolean,
  toleranceMm: number,
): FairLine {
  const fit = new Fit(points, toleranceMm);
  const count = points.length;
  const stops = turns.flatMap((turn, i) => (turn || (!closed && (i === 0 || i + 1 === count)) ? [i] : []));
  if (closed && stops.length === 0) stops.push(0);
  const runs = closed
    ? stops.map((from, k) => [from, k + 1 < stops.length ? stops[k + 1] : stops[0] + count] as const)
    : stops.slice(1).map((to, k) => [stops[k], to] as const);
  for (const [from, to] of runs) fit.run(from, to);
  return fit.result();
}

/** A side this many times longer than its neighbours, and this long, was drawn as a straight line. */
const STRAIGHT_RATIO = 4;
const STRAIGHT_MM = 40;

class Fit {
  private readonly curves: FairCurve[] = [];
  private deviationMm = 0;
  private removed = 0;

  private readonly aimMm: number;

  constructor(
    private readonly points: readonly Point[],
    private readonly toleranceMm: number,
  ) {
    this.aimMm = AIM * toleranceMm;
  }

  result(): FairLine {
    return { curves: this.curves, deviationMm: this.deviationMm, removed: this.removed };
  }

  /** The points from one turn point to the next; the index may run past the end of a closed line. */
  run(from: number, to: number): void {
    const chain = Array.from(
      { length: to - from + 1 },
      (_, i) => this.points[(from + i) % this.points.length],
    );
    const straight = this.straightSides(chain);
    const stops = [0, ...straight.flatMap((i) => [i, i + 1]), chain.length - 1].filter(
      (i, k, all) => k === 0 || i !== all[k - 1],
    );
    for (let k = 0; k + 1 < stops.length; k++) {
      const [a, b] = [stops[k], stops[k + 1]];
      const before = k > 0 ? unit(way(chain[a - 1], chain[a])) : undefined;
      const after = k + 2 < stops.length ? unit(way(chain[b], chain[b + 1])) : undefined;
      const isSideBefore = k > 0 && straight.includes(a - 1);
      const isSideAfter = straight.includes(b);
      this.part(
        chain.slice(a, b + 1),
        from + a,
        isSideBefore ? before : undefined,
        isSideAfter ? after : undefined,
      );
    }
  }

  private straightSides(chain: readonly Point[]): number[] {
    if (chain.length <= 2) return [];
    const sides = chain.slice(1).map((p, i) => distance(chain[i], p));
    return sides.flatMap((mm, i) => {
      const near = Math.max(sides[i - 1] ?? 0, sides[i + 1] ?? 0);
      return mm >= STRAIGHT_MM && mm >= STRAIGHT_RATIO * near ? [i] : [];
    });
  }

  private part(
    chain: readonly Point[],
    first: number,
    startWay: Point | undefined,
    endWay: Point | undefined,
  ): void {
    const last = chain.length - 1;
    const offMm = chain.length === 2 ? 0 : largestOffChord(chain);
    if (offMm <= this.toleranceMm / 5) {
      this.push(line(chain[0], chain[last]), first, first + last, offMm);
      this.removed += last - 1;
      return;
    }
    this.cubics(chain, first, { start: startWay, end: endWay === undefined ? undefined : opposite(endWay) });
  }

  /**
   * As few cubics as will do: each is carried on as far as it fits, and the next leaves where it arrives. A short rest at
   * the end would take its direction from two or three points; it shares the points of the cubic before it.
   */
  private cubics(chain: readonly Point[], first: number, ends: EndWays): void {
    const last = chain.length - 1;
    const along = mostAlong(chain, ends);
    const joints = [0];
    const fits: Fitted[] = [];
    let start = ends.start;
    for (let at = 0; at < last;) {
      const found = this.longest(chain, along, at, { start, end: ends.end });
      fits.push(found.fit);
      at = found.to;
      joints.push(at);
      start = endDirection(found.fit.curve);
    }
    const [before, middle] = [joints.at(-3), joints.at(-2)];
    if (
      before !== undefined &&
      middle !== undefined &&
      last - middle < Math.min(REST_POINTS_MIN, middle - before)
    ) {
      const joint = Math.max(before + 1, Math.floor((before + last) / 2));
      const through = centreTangent(chain, joint);
      const startWay = fits.length > 2 ? endDirection(fits[fits.length - 3].curve) : ends.start;
      const head = fitted(
        chain.slice(before, joint + 1),
        { start: startWay, end: opposite(through) },
        this.aimMm,
        most(along, before, joint),
      );
      const tail = fitted(
        chain.slice(joint),
        { start: through, end: ends.end },
        this.aimMm,
        most(along, joint, last),
      );
      if (Math.max(head.offMm, tail.offMm) <= this.toleranceMm * AIM_SHARED) {
        fits.splice(-2, 2, head, tail);
        joints[joints.length - 2] = joint;
      }
    }
    for (const [i, { curve, offMm }] of fits.entries())
      this.push(curve, first + joints[i], first + joints[i + 1], offMm);
  }

  private longest(
    chain: readonly Point[],
    along: readonly number[],
    from: number,
    ends: EndWays,
  ): { readonly fit: Fitted; readonly to: number } {
    const last = chain.length - 1;
    const upTo = (to: number): Fitted =>
      fitted(
        chain.slice(from, to + 1),
        to === last ? ends : { start: ends.start, end: undefined },
        this.aimMm,
        most(along, from, to),
      );
    // Doubled until it fails, so that a line of which every third point is a corner costs no more than another.
    let low = from + 1;
    let best = upTo(low);
    let high = Math.min(last, from + 8);
    while (low < last) {
      const tried = upTo(high);
      if (tried.offMm > this.aimMm) break;
      [low, best] = [high, tried];
      high = Math.min(last, from + 2 * (high - from));
    }
    if (low === last) return { fit: best, to: last };
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      const tried = upTo(middle);
      if (tried.offMm <= this.aimMm) [low, best] = [middle, tried];
      else high = middle;
    }
    return { fit: best, to: low };
  }

  private push(curve: Curve, first: number, last: number, offMm: number): void {
    this.curves.push({ curve, first, last });
    this.deviationMm = Math.max(this.deviationMm, offMm);
  }
}

function most(along: readonly number[], from: number, to: number): number {
  return along[to] - along[from] + STRAY_MM;
}

function largestOffChord(chain: readonly Point[]): number {
  const from = chain[0];
  const chord = way(from, chain[chain.length - 1]);
  const length = norm(chord);
  if (length === 0) return Infinity;
  return chain.reduce((worst, p) => {
    const reach = way(from, p);
    const share = dot(reach, chord) / (length * length);
    const offMm = Math.abs(reach.x * chord.y - reach.y * chord.x) / length;
    // A point before the start or past the end doubles back.
    return Math.max(worst, share < -1e-9 || share > 1 + 1e-9 ? Infinity : offMm);
  }, 0);
}

function centreTangent(chain: readonly Point[], i: number): Point {
  const [a, b, c] = [chain[i - 1], chain[i], chain[i + 1]];
  const ab = distance(a, b);
  const bc = distance(b, c);
  const tangent = add(scale(way(a, b), bc / ab), scale(way(b, c), ab / bc));
  return norm(tangent) > 1e-9 ? unit(tangent) : unit(way(a, b));
}
