import {
  add,
  along,
  cubic,
  curveLength,
  distance,
  dot,
  endDirection,
  endOf,
  flatten,
  lerp,
  line,
  opposite,
  pointAt,
  quadratureLength,
  reversed,
  splitCurve,
  splitCurveAtLength,
  startDirection,
  startOf,
  turnAbout,
  way,
  type CubicBezier,
  type Curve,
  type Point,
} from '#geometry';

/** The curve with its end, and the handle there, moved together: the direction at the end is kept. */
export function withEndMoved(curve: Curve, by: Point): Curve {
  return curve.kind === 'line'
    ? line(curve.p0, add(curve.p1, by))
    : cubic(curve.p0, curve.p1, add(curve.p2, by), add(curve.p3, by));
}

export function withStartMoved(curve: Curve, by: Point): Curve {
  return reversed(withEndMoved(reversed(curve), by));
}

/**
 * The curve cut off, or carried on past its end along its own bend, to a given length; undefined when it would have
 * to grow by more than a half.
 */
export function endedAt(curve: Curve, lengthMm: number, toleranceMm: number): Curve | undefined {
  if (lengthMm <= curveLength(curve, toleranceMm))
    return splitCurveAtLength(curve, lengthMm, toleranceMm).head;
  const carriedOn = (t: number): Curve => splitCurve(curve, t)[0];
  const t = rootOf((s) => quadratureLength(carriedOn(s)) - lengthMm, 1, CARRY_ON_MAX);
  return t === undefined ? undefined : carriedOn(t);
}

/** Past half its length again, a cubic's own bend says nothing about the seam it was drawn for. */
const CARRY_ON_MAX = 1.5;

/** A cubic with both handles longer or shorter by `factor`: fuller or flatter, its ends and their directions kept. */
export function withFullness({ p0, p1, p2, p3 }: CubicBezier, factor: number): CubicBezier {
  return cubic(p0, lerp(p0, p1, factor), lerp(p3, p2, factor), p3);
}

/**
 * The curve redrawn so that it leaves its start turned by `angleRad`, counter-clockwise, nowhere farther from `given`
 * than `moveMmMax`. `given` is the curve as it was before it was bent anywhere, so that two turns of one curve, one at
 * each end, stay within one limit.
 *
 * The handle is turned; where that moves the curve too far, the handle is also shortened, down to the shortest that
 * is still a drawn line and not a hook. Undefined when that is not enough.
 */
export function turnedAtStart(
  curve: Curve,
  angleRad: number,
  given: Curve,
  moveMmMax: number,
): { readonly curve: CubicBezier; readonly movedMm: number } | undefined {
  const drawn = asCubic(curve);
  const turned = turnAbout(drawn.p1, drawn.p0, angleRad);
  const handleMm = distance(drawn.p0, drawn.p1);
  let share = 1;
  for (let attempt = 0; attempt < HANDLE_TRIES && share * handleMm >= HANDLE_MM_MIN; attempt++) {
    const bent = cubic(drawn.p0, lerp(drawn.p0, turned, share), drawn.p2, drawn.p3);
    const movedMm = largestMoveMm(given, bent);
    if (movedMm <= moveMmMax) return { curve: bent, movedMm };
    share *= HANDLE_STEP;
  }
  return undefined;
}

/** Length of the handle that a turn at the start would swing. */
export function handleMmAtStart(curve: Curve): number {
  const { p0, p1 } = asCubic(curve);
  return distance(p0, p1);
}

/** Our choice: the square of a set square laid at the corner is seen over about this length. */
const HANDLE_MM_MIN = 10;

/** Each try shortens the handle by a seventh; thirty take a handle of a metre to the shortest. */
const HANDLE_STEP = 0.86;
const HANDLE_TRIES = 32;

/**
 * A line, or a curve with a handle of no length, written as a cubic with handles of a third. Both handles: an end
 * without one takes its direction from the other, and would turn with it.
 */
function asCubic(curve: Curve): CubicBezier {
  const start = startOf(curve);
  const end = endOf(curve);
  const third = distance(start, end) / 3;
  const [first, second] = curve.kind === 'line' ? [start, end] : [curve.p1, curve.p2];
  return cubic(
    start,
    distance(start, first) > 0 || third === 0 ? first : along(start, startDirection(curve), third),
    distance(end, second) > 0 || third === 0 ? second : along(end, opposite(endDirection(curve)), third),
    end,
  );
}

/**
 * How far the farthest of 33 points of `after` lies from the curve `before`, within a hundredth of a millimetre.
 *
 * Cost  about 20 microseconds: `before` is walked as chords, because thousands of these are asked for while a handle
 *       is tried out.
 */
export function largestMoveMm(before: Curve, after: Curve): number {
  const chords = flatten(before, MOVE_TOLERANCE_MM);
  let largest = 0;
  for (let i = 0; i <= MOVE_SAMPLES; i++) {
    largest = Math.max(largest, distanceToChords(chords, pointAt(after, i / MOVE_SAMPLES)));
  }
  return largest;
}

/** A redrawn seam leaves its old place in one bow or two; 32 steps find its top to a hundredth of its height. */
const MOVE_SAMPLES = 32;

/** A hundredth of the fullness a fix may change. */
const MOVE_TOLERANCE_MM = 0.01;

function distanceToChords(points: readonly Point[], p: Point): number {
  let nearest = Infinity;
  for (let i = 0; i + 1 < points.length; i++) {
    const from = points[i];
    const along = way(from, points[i + 1]);
    const lengthSquared = dot(along, along);
    const share = lengthSquared === 0 ? 0 : dot(way(from, p), along) / lengthSquared;
    nearest = Math.min(nearest, distance(p, lerp(from, points[i + 1], Math.min(1, Math.max(0, share)))));
  }
  return nearest;
}

/** A root of `value` between `low` and `high` by bisection; undefined when both ends are on one side of it. */
export function rootOf(value: (x: number) => number, low: number, high: number): number | undefined {
  const atLow = value(low);
  const atHigh = value(high);
  if (atLow === 0) return low;
  if (atHigh === 0) return high;
  if (atLow > 0 === atHigh > 0) return undefined;
  let from = low;
  let to = high;
  for (let step = 0; step < ROOT_STEPS; step++) {
    const middle = (from + to) / 2;
    if (value(middle) > 0 === atLow > 0) from = middle;
    else to = middle;
  }
  return (from + to) / 2;
}

/** Halvings of a range of a few millimetres down to rounding. */
const ROOT_STEPS = 50;
