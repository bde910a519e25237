import type { Ease } from '#drafting';
import type { CompleteMeasures } from '#measurements';
import { FIGURES, type BlockFigures } from '#pattern';

export type Figure = keyof BlockFigures;

/** One measure of the block against the body: what the body has, what is added, what was aimed at, what came out. */
export interface FitRow {
  readonly name: Figure;
  readonly bodyMm: number;
  readonly easeMm: number;
  readonly targetMm: number;
  readonly draftedMm: number;
  readonly differenceMm: number;
}

/** What a cutter calls each figure. */
export const FIGURE_WORDS: Readonly<Record<Figure, string>> = {
  waist: 'waist girth',
  hip: 'hip girth',
  thigh: 'thigh girth at the fork',
  knee: 'knee girth',
  hem: 'hem girth',
  frontRise: 'front rise',
  backRise: 'back rise',
  totalRise: 'front and back rise',
  inseamFront: 'front inseam',
  inseamBack: 'back inseam',
  outseamFront: 'front outseam',
  outseamBack: 'back outseam',
};

/** The body measure behind each figure of a block. Legs are measured to the floor, knees must let the calf pass. */
export function bodyFigures(body: CompleteMeasures): BlockFigures {
  return {
    waist: body.waistGirth,
    hip: body.hipGirth,
    thigh: body.thighGirth,
    knee: Math.max(body.kneeGirth, body.calfGirth),
    hem: body.heelGirth,
    frontRise: body.totalCrotchLength - body.backCrotchLength,
    backRise: body.backCrotchLength,
    totalRise: body.totalCrotchLength,
    inseamFront: body.insideLegLength,
    inseamBack: body.insideLegLength,
    outseamFront: body.outsideLegLength,
    outseamBack: body.outsideLegLength,
  };
}

/** One row per figure that has a target. */
export function fitRows(
  body: CompleteMeasures,
  targets: Partial<BlockFigures>,
  drafted: BlockFigures,
): FitRow[] {
  const bodyHas = bodyFigures(body);
  return FIGURES.flatMap((name) => {
    const targetMm = targets[name];
    if (targetMm === undefined) return [];
    const bodyMm = bodyHas[name];
    const draftedMm = drafted[name];
    return [
      { name, bodyMm, easeMm: targetMm - bodyMm, targetMm, draftedMm, differenceMm: draftedMm - targetMm },
    ];
  });
}

/** What a block used as it stands would have to measure for this body and ease; lengths are the block's own business. */
export function girthTargets(
  body: CompleteMeasures,
  ease: Ease,
): Pick<BlockFigures, 'waist' | 'hip' | 'thigh' | 'knee' | 'hem'> {
  const has = bodyFigures(body);
  return {
    waist: has.waist + ease.waistMm,
    hip: has.hip + ease.hipMm,
    thigh: has.thigh + ease.thighMm,
    knee: has.knee + ease.kneeMm,
    hem: has.hem + ease.heelMm,
  };
}
