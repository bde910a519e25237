import { add, distance, pointAt, quadratureLength, splitCurve } from '#geometry';
import type { Leg } from './leg-block.js';
import { displacement, type EndMove } from './leg-moves.js';

/** Where a band is there: how much longer than it the whole waist is, and may be. */
export interface WaistFit {
  readonly differenceMm: number;
  readonly minMm: number;
  readonly maxMm: number;
}

/** Shares between front and back that are tried where half does not fit the band. */
const SHARES = 8;
/** Of the tolerance of the band, this much is used. */
const USED = 0.9;

/**
 * How much of a move of both side waists the front takes: half, unless the waist would then no longer fit its band; of all
 * shares then the one that fits best, and of those the nearest to half. `changeMm` is what a share does to half the waist;
 * `offMm` is how much longer than the band the waist then is, undefined where there is no band.
 */
export function shareThatFits(
  wholeMm: number,
  [low, high]: readonly [number, number],
  waist: WaistFit | undefined,
  changeMm: (frontMm: number) => number,
): { readonly frontMm: number; readonly offMm?: number } {
  const half = Math.min(high, Math.max(low, wholeMm / 2));
  if (waist === undefined) return { frontMm: half };
  const shares = Array.from({ length: SHARES + 1 }, (_, i) => low + ((high - low) * i) / SHARES);
  const fits = [half, ...shares].map((frontMm) => {
    const offMm = waist.differenceMm + 2 * changeMm(frontMm);
    return { frontMm, offMm, misfitMm: Math.max(0, USED * waist.minMm - offMm, offMm - USED * waist.maxMm) };
  });
  return fits.reduce((best, each) =>
    each.misfitMm < best.misfitMm - SAME_MM ||
    (each.misfitMm < best.misfitMm + SAME_MM && Math.abs(each.frontMm - half) < Math.abs(best.frontMm - half))
      ? each
      : best,
  );
}

const SAME_MM = 1e-9;
/** Of a waist of few curves; one of many is drawn by its points. */
const SAMPLES = 16;
const SAMPLES_OF_MANY = 1;
const CURVES_FEW = 24;

/** How much longer the waist of a piece gets when its side end is moved. */
export function waistChangeMm(leg: Leg, move: EndMove): number {
  const goes = displacement(leg, { ends: [move], bows: [] });
  const isFew = leg.roles.filter((role) => role === 'waist').length <= CURVES_FEW;
  const samples = isFew ? SAMPLES : SAMPLES_OF_MANY;
  return leg.reading.curves.reduce((sum, curve, index) => {
    if (leg.roles[index] !== 'waist') return sum;
    const places = Array.from({ length: samples + 1 }, (_, i) => {
      const t = i / samples;
      const at = pointAt(curve, t);
      const fromStartMm = quadratureLength(t === 1 ? curve : splitCurve(curve, t)[0]);
      return { at, to: add(at, goes({ index, t, at, apartMm: 0, fromStartMm })) };
    });
    return places.reduce(
      (mm, { at, to }, i) =>
        i === 0 ? mm : mm + distance(places[i - 1].to, to) - distance(places[i - 1].at, at),
      sum,
    );
  }, 0);
}
