import {
  add,
  cubic,
  curvatureAt,
  lerp,
  norm,
  quadratureLength,
  scale,
  turnAbout,
  velocityAt,
  way,
  type CubicBezier,
  type Curve,
  type Point,
} from '#geometry';
import { inverse } from './inverse.js';

/**
 * The character of a curve is its length times its curvature along the share of its length: the same for the same curve
 * turned or scaled, and none for a straight line.
 */
const PLACES = 32;

/** Steps of the sum that finds places at equal shares of the length; a pattern curve's speed hardly varies in one. */
const STEPS_PER_PLACE = 8;

/** Length times curvature at 33 places evenly spaced along the curve, within a per cent of the largest. */
export function characterOf(curve: Curve): number[] {
  const steps = PLACES * STEPS_PER_PLACE;
  const speeds = Array.from({ length: steps + 1 }, (_, i) => norm(velocityAt(curve, i / steps)));
  const sums = [0];
  for (let i = 1; i <= steps; i++) sums.push(sums[i - 1] + (speeds[i - 1] + speeds[i]) / 2 / steps);
  const lengthMm = sums[steps];
  let step = 1;
  return Array.from({ length: PLACES + 1 }, (_, place) => {
    const wantedMm = (lengthMm * place) / PLACES;
    while (step < steps && sums[step] < wantedMm) step += 1;
    const t = (step - 1 + (wantedMm - sums[step - 1]) / (sums[step] - sums[step - 1])) / steps;
    return lengthMm * curvatureAt(curve, Math.min(1, Math.max(0, t)));
  });
}

/** How much of a curve it is: the largest |length x curvature| along it. 0 for a line. */
export function bendOf(curve: Curve): number {
  return curve.kind === 'line' ? 0 : Math.max(...characterOf(curve).map(Math.abs));
}

/** A curve that changed its character by more than this share no longer looks like the block's own. */
export const CHARACTER_SHARE_MAX = 0.15;

/** How much a curve has changed beyond turning and scaling. */
export interface CharacterChange {
  /** The largest change of its character at one place, over the largest of the given curve. */
  readonly share: number;
  /** Whether it bends the other way somewhere where the given curve did not. */
  readonly newBend: boolean;
}

/** A stretch that bows less than this off its own chord is not seen to bend. */
const BOW_MM = 0.1;

export function characterChange(given: Curve, drawn: Curve): CharacterChange {
  const before = characterOf(given);
  const after = characterOf(drawn);
  const most = Math.max(...before.map(Math.abs));
  if (most < STRAIGHT) return { share: 0, newBend: false };
  const share = Math.max(...before.map((value, i) => Math.abs(after[i] - value))) / most;
  const lengthMm = quadratureLength(drawn);
  return { share, newBend: bends(after, lengthMm, BOW_MM) > bends(before, lengthMm, ROUNDING_MM) };
}

const STRAIGHT = 1e-6;

/** Coordinates are written to a millionth of a millimetre; a bow of a hundred of those is meant. */
const ROUNDING_MM = 1e-4;

/** How often a curve changes to bending the other way, stretches that bow less than `leastMm` left out. */
function bends(character: readonly number[], lengthMm: number, leastMm: number): number {
  const stretches: { sign: number; sum: number; places: number }[] = [];
  for (const value of character) {
    const last = stretches.at(-1);
    if (last?.sign === Math.sign(value)) {
      last.sum += Math.abs(value);
      last.places += 1;
    } else stretches.push({ sign: Math.sign(value), sum: Math.abs(value), places: 1 });
  }
  // A stretch of length l and curvature k bows by k l l / 8.
  const seen = stretches.filter(({ sum, places }) => {
    const stretchMm = (lengthMm * places) / PLACES;
    return ((sum / places / lengthMm) * stretchMm * stretchMm) / 8 > leastMm;
  });
  return seen.filter(({ sign }, i) => i > 0 && sign !== seen[i - 1].sign).length;
}

/** What a curve's character makes of turned ends, to first order. */
export interface Pliancy {
  /** The change of character as a sum of squares: a [start, end] turn in radians costs turn' cost turn. */
  readonly cost: readonly [startStart: number, startEnd: number, endEnd: number];
  /** How much longer each handle is drawn for each turn, so that the change is least; shares of the handle per radian. */
  readonly handles: readonly [startByStart: number, startByEnd: number, endByStart: number, endByEnd: number];
}

const TURN_RAD = 1e-4;
const STRETCH = 1e-4;

/** Turned ends tell most at the ends; this makes the largest change count, which is what is seen. A design choice. */
const END_WEIGHT = 8;

/** Lengthening both handles of a nearly straight curve changes nothing; this keeps them as they were then. */
const STRETCH_COST = 0.02;

/**
 * How the character of a curve answers to its ends being turned, when its handles are drawn so that it answers least.
 *
 * Differences at the given curve give what each of two turns and two handle lengths does at every place; the handles
 * that leave the least sum of squares are linear in the turns, and so is what is left.
 */
export function pliancyOf(curve: CubicBezier): Pliancy {
  const before = characterOf(curve);
  const effect = (turned: CubicBezier, by: number): number[] =>
    characterOf(turned).map((value, i) => (value - before[i]) / by / Math.sqrt(before.length));
  const turns = [
    effect(bent(curve, [TURN_RAD, 0], [0, 0]), TURN_RAD),
    effect(bent(curve, [0, TURN_RAD], [0, 0]), TURN_RAD),
  ];
  const stretches = [
    effect(bent(curve, [0, 0], [STRETCH, 0]), STRETCH),
    effect(bent(curve, [0, 0], [0, STRETCH]), STRETCH),
  ];
  const dots = (a: readonly number[], b: readonly number[]): number =>
    a.reduce((sum, value, i) => sum + (i === 0 || i === PLACES ? END_WEIGHT : 1) * value * b[i], 0);
  const hold = STRETCH_COST * (1 + Math.max(...before.map(Math.abs)) ** 2);
  const normal = stretches.map((a, i) =>
    Float64Array.from(stretches, (b, k) => dots(a, b) + (i === k ? hold : 0)),
  );
  const inverted = inverse(normal);
  const answer = (stretch: number, turn: number): number =>
    -stretches.reduce((sum, b, k) => sum + inverted[stretch][k] * dots(b, turns[turn]), 0);
  const left = (a: number, b: number): number =>
    dots(turns[a], turns[b]) + stretches.reduce((sum, c, k) => sum + dots(turns[a], c) * answer(k, b), 0);
  return {
    cost: [left(0, 0), left(0, 1), left(1, 1)],
    handles: [answer(0, 0), answer(0, 1), answer(1, 0), answer(1, 1)],
  };
}

/** The cubic with its ends turned and its handles longer by these shares; its end points stay. */
export function bent(
  { p0, p1, p2, p3 }: CubicBezier,
  [startRad, endRad]: readonly [number, number],
  [startShare, endShare]: readonly [number, number],
): CubicBezier {
  const first = scale(turnAbout(way(p0, p1), ORIGIN, startRad), 1 + startShare);
  const second = scale(turnAbout(way(p3, p2), ORIGIN, endRad), 1 + endShare);
  return cubic(p0, add(p0, first), add(p3, second), p3);
}

const ORIGIN: Point = { x: 0, y: 0 };

/** A curve as a cubic; a line with handles of a third. */
export function asCubic(curve: Curve): CubicBezier {
  if (curve.kind === 'cubic') return curve;
  const { p0, p1 } = curve;
  return cubic(p0, lerp(p0, p1, 1 / 3), lerp(p0, p1, 2 / 3), p1);
}
