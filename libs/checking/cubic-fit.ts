import {
  add,
  angleBetween,
  cubic,
  distance,
  dot,
  lerp,
  norm,
  opposite,
  pointAt,
  quadratureLength,
  scale,
  unit,
  velocityAt,
  way,
  type CubicBezier,
  type Point,
} from '#geometry';

const NEWTON_STEPS = 16;
/** Steps bring a fit nearer by ten or twenty times, not by more than this. */
const HOPELESS = 60;

/** Directions a cubic has to keep at its ends, both pointing into it; undefined where it is free. */
export interface EndWays {
  readonly start: Point | undefined;
  readonly end: Point | undefined;
}

/** Four handle coordinates need more points than these to be found and not guessed. */
const FREE_POINTS_MIN = 6;

export interface Fitted {
  readonly curve: CubicBezier;
  /** Infinity where the curve strays between the points that it passes. */
  readonly offMm: number;
}

/**
 * One cubic through a chain, as near to its points as it comes.
 *
 * `mostMm` is the longest that a curve through them may be: three points decide their handles exactly, and can be passed
 * by a curve that runs past one of them and back.
 */
export function fitted(chain: readonly Point[], given: EndWays, aimMm: number, mostMm: number): Fitted {
  const isShort = chain.length <= FREE_POINTS_MIN;
  const ends = isShort
    ? { start: given.start ?? endTangent(chain), end: given.end ?? endTangent([...chain].reverse()) }
    : given;
  if (chain.length === 2) return { curve: plainCubic(chain, ends, mostMm), offMm: 0 };
  // Curves are often written at even steps of their parameter; then these parameters are the right ones.
  const even = chain.map((_, i) => i / (chain.length - 1));
  const first = leastSquares(chain, even, ends);
  const firstMm = worstOf(chain, first, even);
  if (firstMm <= aimMm && !strays(first, mostMm)) return { curve: first, offMm: firstMm };
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
  return { curve, offMm: strays(curve, mostMm) ? Infinity : offMm };
}

/** Whether a curve is longer than the turns of its points allow, or sets out and arrives forwards and runs back between. */
function strays(curve: CubicBezier, mostMm: number): boolean {
  const { p0, p1, p2, p3 } = curve;
  const chord = way(p0, p3);
  const [out, between, into] = [way(p0, p1), way(p1, p2), way(p2, p3)].map((each) => dot(each, chord));
  // The speed along the chord is a quadratic with these three as its Bernstein coefficients.
  const isBack = out > 0 && into > 0 && between < -Math.sqrt(out * into);
  return isBack || quadratureLength(curve) > mostMm;
}

/**
 * The longest that a curve from point to point of a chain may be, point by point from its first.
 *
 * An arc is longer than a chord that it turns by w over by w²/24 of it. A vertex turns by the mean of its two chords, so
 * that the longer one may turn by twice as much. Ends that lead into a straight side turn as they meet it; others are
 * corners and say nothing.
 */
export function mostAlong(chain: readonly Point[], ends: EndWays): number[] {
  const sides = chain.slice(1).map((p, i) => way(chain[i], p));
  const turnsRad = [
    ends.start === undefined ? 0 : angleBetween(ends.start, sides[0]),
    ...sides.slice(1).map((side, i) => angleBetween(sides[i], side)),
    ends.end === undefined ? 0 : angleBetween(sides[sides.length - 1], opposite(ends.end)),
  ];
  const along = [0];
  for (const [i, side] of sides.entries()) {
    const turnRad = Math.max(turnsRad[i], turnsRad[i + 1]);
    along.push(along[i] + norm(side) * (1 + (2 * turnRad) ** 2 / 24));
  }
  return along;
}

function plainCubic([from, to]: readonly Point[], { start, end }: EndWays, mostMm: number): CubicBezier {
  const third = distance(from, to) / 3;
  const [out, into] = [start ?? unit(way(from, to)), end ?? unit(way(to, from))];
  const bent = cubic(from, add(from, scale(out, third)), add(to, scale(into, third)), to);
  return quadratureLength(bent) > mostMm
    ? cubic(from, lerp(from, to, 1 / 3), lerp(from, to, 2 / 3), to)
    : bent;
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
