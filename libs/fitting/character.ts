import { curvatureAt, parameterAtLength, quadratureLength, type Curve } from '#geometry';

/** How much a curve has changed beyond turning and scaling. */
export interface CharacterChange {
  /** The largest change of length x curvature at one share of the seam, over the largest of the given curve. */
  readonly share: number;
  /** Whether it bends the other way somewhere where the given curve did not. */
  readonly newBend: boolean;
}

const PLACES = 32;
const PLACE_TOLERANCE_MM = 0.01;

/** A bend the other way of less than this share of the largest is the wavering of a straight stretch. */
const BEND_SHARE = 0.02;

/**
 * The character of a curve is its length times its curvature along the share of its length: the same for the same curve
 * turned or scaled. A straight curve has none to lose.
 */
export function characterChange(given: Curve, drawn: Curve): CharacterChange {
  const before = profile(given);
  const after = profile(drawn);
  const most = Math.max(...before.map(Math.abs));
  if (most < 1e-6) return { share: 0, newBend: false };
  const share = Math.max(...before.map((value, i) => Math.abs(after[i] - value))) / most;
  return { share, newBend: bends(after, BEND_SHARE * most) > bends(before, BEND_SHARE * most) };
}

function profile(curve: Curve): number[] {
  const lengthMm = quadratureLength(curve);
  return Array.from({ length: PLACES + 1 }, (_, i) => {
    const t = i === 0 ? 0 : i === PLACES ? 1 : parameterAtLength(curve, (lengthMm * i) / PLACES, PLACE_TOLERANCE_MM);
    return lengthMm * curvatureAt(curve, t);
  });
}

function bends(values: readonly number[], least: number): number {
  const signs = values.filter((value) => Math.abs(value) > least).map(Math.sign);
  return signs.filter((sign, i) => i > 0 && sign !== signs[i - 1]).length;
}
