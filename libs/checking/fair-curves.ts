import {
  add,
  cubic,
  distance,
  dot,
  endDirection,
  lerp,
  line,
  norm,
  opposite,
  pointAt,
  quadratureLength,
  scale,
  unit,
  velocityAt,
  way,
  type CubicBezier,
  type Curve,
  type Point,
} from '#geometry';

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
const NEWTON_STEPS = 16;
/** Steps bring a fit nearer by ten or twenty times, not by more than this. */
const HOPELESS = 60;

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

/** Directions a cubic has to keep at its ends, both pointing into it; undefined where it is free. */
interface EndWays {
  readonly start: Point | undefined;
  readonly end: Point | undefined;
}

/** Four handle coordinates need more points than these to be found and not guessed. */
const FREE_POINTS_MIN = 6;

interface Fitted {
  readonly curve: CubicBezier;
  readonly offMm: number;
}

/** One cubic through a chain, as near to its points as it comes. */
function fitted(chain: readonly Point[], given: EndWays, aimMm: number): Fitted {
  const isShort = chain.length <= FREE_POINTS_MIN;
  const ends = isShort
    ? { start: given.start ?? endTangent(chain), end: given.end ?? endTangent([...chain].reverse()) }
    : given;
  if (chain.length === 2) return { curve: plainCubic(chain, ends), offMm: 0 };
  // Curves are often written at even steps of their parameter; then these parameters are the right ones.
  const even = chain.map((_, i) => i / (chain.length - 1));
  const first = leastSquares(chain, even, ends);
  const firstMm = worstOf(chain, first, even);
  if (firstMm <= aimMm && !strays(first, chain)) return { curve: first, offMm: firstMm };
  let parameters = chordParameters(chain);
  let curve = leastSquares(chain, parameters, ends);
  let offMm = worstOf(chain, curve, parameters);
  for (let step = 0; step < NEWTON_STEPS && offMm > aimMm && offMm < HOPELESS * aimMm; step++) {
    parameters = reparameterised(chain, curve, parameters);
    curve = leastSquares(chain, parameters, ends);
    const nextMm = worstOf(chain, curve, parameters);
    // Far off and hardly nearer: more steps will not do it.
    const isStuck = step > 2 && nextMm > 3 * aimMm && nextMm > 0.9 * offMm;
    offMm = nextMm;
    if (isStuck) break;
  }
  return { curve, offMm: strays(curve, chain) ? Infinity : offMm };
}

/** Whether a curve makes a detour between the points it passes: longer than their chords by more than curves are. */
function strays(curve: CubicBezier, chain: readonly Point[]): boolean {
  const chordsMm = chain.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(chain[i - 1], p)), 0);
  return quadratureLength(curve) > STRAY_RATIO * chordsMm + STRAY_MM;
}

/** Chords that stand 90 degrees of an arc for every second point are shorter by 2 %; an ordinary curve's by a hundredth of that. */
const STRAY_RATIO = 1.02;
const STRAY_MM = 0.02;

function plainCubic([from, to]: readonly Point[], { start, end }: EndWays): CubicBezier {
  const third = distance(from, to) / 3;
  const [out, into] = [start ?? unit(way(from, to)), end ?? unit(way(to, from))];
  const bent = cubic(from, add(from, scale(out, third)), add(to, scale(into, third)), to);
  return strays(bent, [from, to]) ? cubic(from, lerp(from, to, 1 / 3), lerp(from, to, 2 / 3), to) : bent;
}

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
    const joints = [0];
    const fits: Fitted[] = [];
    let start = ends.start;
    for (let at = 0; at < last;) {
      const found = this.longest(chain, at, { start, end: ends.end });
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
      );
      const tail = fitted(chain.slice(joint), { start: through, end: ends.end }, this.aimMm);
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
    from: number,
    ends: EndWays,
  ): { readonly fit: Fitted; readonly to: number } {
    const last = chain.length - 1;
    const upTo = (to: number): Fitted =>
      fitted(
        chain.slice(from, to + 1),
        to === last ? ends : { start: ends.start, end: undefined },
        this.aimMm,
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

/** The direction at the first point of a chain, of the parabola through its first three points. */
function endTangent(chain: readonly Point[]): Point {
  const [a, b, c] = chain;
  if (c === undefined) return unit(way(a, b));
  const ab = distance(a, b);
  const bc = distance(b, c);
  const w = ab / (ab + bc);
  const first = scale(way(a, b), 1 / ab);
  const second = scale(way(b, c), 1 / bc);
  const tangent = add(scale(first, 1 + w), scale(second, -w));
  return norm(tangent) > 1e-9 ? unit(tangent) : unit(way(a, b));
}

function centreTangent(chain: readonly Point[], i: number): Point {
  const [a, b, c] = [chain[i - 1], chain[i], chain[i + 1]];
  const ab = distance(a, b);
  const bc = distance(b, c);
  const tangent = add(scale(way(a, b), bc / ab), scale(way(b, c), ab / bc));
  return norm(tangent) > 1e-9 ? unit(tangent) : unit(way(a, b));
}

function chordParameters(chain: readonly Point[]): number[] {
  const along = [0];
  for (let i = 1; i < chain.length; i++) along.push(along[i - 1] + distance(chain[i - 1], chain[i]));
  const whole = along[along.length - 1];
  return along.map((mm) => mm / whole);
}

/**
 * The cubic from the first to the last point that lies nearest to the points at their parameters. Where an end's
 * direction is given, its handle keeps to it; else the handle lies where it fits best.
 */
function leastSquares(chain: readonly Point[], parameters: readonly number[], ends: EndWays): CubicBezier {
  const p0 = chain[0];
  const p3 = chain[chain.length - 1];
  const handles = [
    ...(ends.start === undefined ? FREE : [ends.start]).map((direction) => ({ direction, isStart: true })),
    ...(ends.end === undefined ? FREE : [ends.end]).map((direction) => ({ direction, isStart: false })),
  ];
  const size = handles.length;
  const matrix = handles.map(() => new Array<number>(size).fill(0));
  const right = new Array<number>(size).fill(0);
  // The innermost loop of reading a file: numbers, not points.
  for (const [i, t] of parameters.entries()) {
    const s = 1 - t;
    const [outer, before, after] = [s * s * (s + 3 * t), 3 * s * s * t, 3 * s * t * t];
    const restX = chain[i].x - outer * p0.x - (1 - outer) * p3.x;
    const restY = chain[i].y - outer * p0.y - (1 - outer) * p3.y;
    for (let row = 0; row < size; row++) {
      const pull = handles[row].isStart ? before : after;
      const { x, y } = handles[row].direction;
      right[row] += pull * (x * restX + y * restY);
      for (let column = row; column < size; column++) {
        const other = handles[column];
        matrix[row][column] +=
          pull * (other.isStart ? before : after) * (x * other.direction.x + y * other.direction.y);
      }
    }
  }
  for (let row = 1; row < size; row++)
    for (let column = 0; column < row; column++) matrix[row][column] = matrix[column][row];
  const shares = solved(matrix, right);
  const chord = distance(p0, p3);
  const handle = (isStart: boolean): Point => {
    const given = isStart ? ends.start : ends.end;
    const mine = handles.flatMap((each, i) =>
      each.isStart === isStart ? [scale(each.direction, shares?.[i] ?? 0)] : [],
    );
    const sum = mine.reduce(add);
    // A handle that points back or is next to nothing makes a hook; a third of the chord is the plain guess.
    const isSound =
      given === undefined ? norm(sum) > HANDLE_SHARE_MIN * chord : dot(sum, given) > HANDLE_SHARE_MIN * chord;
    const plain = given ?? unit(isStart ? way(chain[0], chain[1]) : way(p3, chain[chain.length - 2]));
    return isSound ? sum : scale(plain, chord / 3);
  };
  return cubic(p0, add(p0, handle(true)), add(p3, handle(false)), p3);
}

const FREE: readonly Point[] = [
  { x: 1, y: 0 },
  { x: 0, y: 1 },
];

const HANDLE_SHARE_MIN = 1e-3;

/** Elimination with the largest pivot; undefined where the points do not decide. */
function solved(matrix: readonly (readonly number[])[], right: readonly number[]): number[] | undefined {
  const rows = matrix.map((row, i) => [...row, right[i]]);
  const size = rows.length;
  for (let i = 0; i < size; i++) {
    let pivot = i;
    for (let k = i + 1; k < size; k++) if (Math.abs(rows[k][i]) > Math.abs(rows[pivot][i])) pivot = k;
    [rows[i], rows[pivot]] = [rows[pivot], rows[i]];
    if (Math.abs(rows[i][i]) < 1e-10) return undefined;
    for (let k = 0; k < size; k++) {
      if (k === i) continue;
      const factor = rows[k][i] / rows[i][i];
      for (let j = i; j <= size; j++) rows[k][j] -= factor * rows[i][j];
    }
  }
  return rows.map((row, i) => row[size] / row[i]);
}

function worstOf(chain: readonly Point[], curve: CubicBezier, parameters: readonly number[]): number {
  return chain.reduce((worst, p, i) => Math.max(worst, distance(pointAt(curve, parameters[i]), p)), 0);
}

/** One Newton step towards the foot of each point. */
function reparameterised(
  chain: readonly Point[],
  curve: CubicBezier,
  parameters: readonly number[],
): number[] {
  const { p0, p1, p2, p3 } = curve;
  return parameters.map((t, i) => {
    if (i === 0 || i + 1 === chain.length) return t;
    const off = way(chain[i], pointAt(curve, t));
    const velocity = velocityAt(curve, t);
    const bend = add(
      scale(add(add(p0, scale(p1, -2)), p2), 6 * (1 - t)),
      scale(add(add(p1, scale(p2, -2)), p3), 6 * t),
    );
    const slope = dot(velocity, velocity) + dot(off, bend);
    if (Math.abs(slope) < 1e-12) return t;
    return Math.min(1, Math.max(0, t - dot(off, velocity) / slope));
  });
}
