import { CALF_SHARE_OF_KNEE, fitFigures, type FitFigure, type FitGarment } from '#fit';
import { endOf, startOf } from '#geometry';
import {
  cornersOf,
  forkWidthMm,
  measureBlock,
  sectionMm,
  sewnSectionMm,
  USUAL_FLY,
  type Block,
  type Piece,
} from '#pattern';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import type { DraftOrder } from './draft-order.js';
import type { DraftResult } from './produce-draft.js';

/** The figures that stand in for a try-on, of the pieces as they are sewn; none where nothing was drawn. */
export function fitStage(order: DraftOrder, { stage, finished }: DraftResult): FitFigure[] {
  if (finished === undefined) return [];
  const { measures } = stage;
  const calfLevelMm = CALF_SHARE_OF_KNEE * measures.kneeHeight;
  return fitFigures(measures, garmentOf(finished.block, calfLevelMm, order));
}

function garmentOf(block: Block, calfLevelMm: number, order: DraftOrder): FitGarment {
  const { alterations, cloth } = order;
  const { front, back, levels } = block;
  const figures = measureBlock(block, LENGTH_TOLERANCE_MM);
  const opens = alterations.some(({ with: { hemOpening } }) => hemOpening === 'open');
  const reachesCalf = calfLevelMm > levels.hem && calfLevelMm < levels.crotch;
  return {
    waistMm: figures.waist,
    hipMm: 2 * (sewnSectionMm(front, levels.hip) + sewnSectionMm(back, levels.hip)),
    forkMm: forkWidthMm(front) + forkWidthMm(back),
    kneeMm: figures.knee,
    calfMm: reachesCalf ? sectionMm(front, calfLevelMm) + sectionMm(back, calfLevelMm) : undefined,
    hemMm: figures.hem,
    frontRiseMm: figures.frontRise,
    backRiseMm: figures.backRise,
    inseamMm: figures.inseamFront,
    forkLevelMm: levels.crotch,
    hemLevelMm: levels.hem,
    openingMm: isPulledOn(block, order) ? 0 : openingMm(front),
    hem: opens ? 'open' : 'closed',
    stretchPercent: cloth?.stretchPercent ?? 0,
  };
}

/** A waist with a casing has no way in but its own width. */
function isPulledOn({ added = [] }: Block, { finish }: DraftOrder): boolean {
  return added.some(({ sewnTo }) => sewnTo === 'waist') || finish?.rules.waist.finish === 'elastic-casing';
}

/** How far down the fly opens the front; where none is drawn, the usual one is sewn in. */
function openingMm(front: Piece): number {
  const fly = front.lines.filter(({ role }) => role === 'fly').flatMap(({ curves }) => curves);
  if (fly.length === 0) return USUAL_FLY.lengthMm;
  const lowestMm = Math.min(...fly.flatMap((curve) => [startOf(curve).y, endOf(curve).y]));
  return cornersOf(front).centreWaist.y - lowestMm;
}
