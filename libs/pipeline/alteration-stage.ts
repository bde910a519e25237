import { correctBlock, type AlterationResult } from '#alterations';
import type { BodyCorrection, CompleteMeasures } from '#measurements';
import type { Block, Finding, Moved } from '#pattern';
import { runRecipe, type RecipeResult, type Report } from '#recipes';
import { RECORD_TOLERANCE_MM } from './accuracy.js';
import { compiledRecipe } from './compiled-recipe.js';
import type { AlterationOrder } from './draft-order.js';

/** One step that was taken: a correction of the body, or an alteration. */
export interface AppliedStep {
  readonly use: string;
  readonly before: Block;
  readonly after: Block;
  /** What the recipe reports of itself. */
  readonly reports: readonly Report[];
}

/** The second stage: what fittings taught, then every alteration in the order given, until one is refused. */
export interface AlterationStage {
  readonly block: Block;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
  /** How much shorter than the front the back inseam is meant to be. */
  readonly intendedStretchMm: number;
  /** How much wider than the block's the waist was made after fittings. */
  readonly waistCorrectedMm: number;
  /** What the style means the whole waist to measure; undefined where it says nothing and the block's waist counts. */
  readonly intendedWaistMm: number | undefined;
  /** Every step that was taken, in order. */
  readonly applied: readonly AppliedStep[];
}

export function alterationStage(
  block: Block,
  orders: readonly AlterationOrder[],
  measures: CompleteMeasures,
  corrections: readonly BodyCorrection[],
): AlterationStage {
  const moved: Moved[] = [];
  const findings: Finding[] = [];
  let altered = block;
  let intendedStretchMm = 0;
  let waistCorrectedMm = 0;
  let intendedWaistMm: number | undefined;
  const applied: AppliedStep[] = [];
  const correct = corrections.map((correction, index) => ({
    use: correction.use,
    run: (from: Block): Partial<RecipeResult> & AlterationResult => {
      const tolerances = { lengthMm: RECORD_TOLERANCE_MM };
      const result = correctBlock(from, correction, `/body/corrections/${index}`, tolerances);
      if (!result.refused && correction.use === 'waist') waistCorrectedMm += correction.byMm;
      return result;
    },
  }));
  const alterations = orders.map((order, index) => ({
    use: order.use,
    run: (from: Block): Partial<RecipeResult> & AlterationResult =>
      alter(from, order, asFitted(measures, waistCorrectedMm), `/alterations/${index}/with`),
  }));
  for (const { use, run } of [...correct, ...alterations]) {
    const result = run(altered);
    if (!result.refused)
      applied.push({ use, before: altered, after: result.block, reports: result.reports ?? [] });
    altered = result.block;
    intendedStretchMm = result.intendedStretchMm ?? intendedStretchMm;
    intendedWaistMm = result.intendedWaistMm ?? intendedWaistMm;
    moved.push(...result.moved);
    findings.push(...result.findings);
    if (result.refused) break;
  }
  return { block: altered, moved, findings, intendedStretchMm, waistCorrectedMm, intendedWaistMm, applied };
}

// A waist that was taken in at a fitting was too wide for this body with its tape measure: guards hold to the fitting.
function asFitted(measures: CompleteMeasures, waistCorrectedMm: number): CompleteMeasures {
  return { ...measures, waistGirth: measures.waistGirth + waistCorrectedMm };
}

function alter(
  block: Block,
  order: AlterationOrder,
  measures: CompleteMeasures,
  pointer: string,
): RecipeResult {
  const wearer = {
    heelGirthMm: measures.heelGirth,
    calfGirthMm: measures.calfGirth,
    kneeGirthMm: measures.kneeGirth,
    thighGirthMm: measures.thighGirth,
    waistGirthMm: measures.waistGirth,
    hipGirthMm: measures.hipGirth,
    pointer,
  };
  return runRecipe(compiledRecipe(order), order.with, block, wearer, { lengthMm: RECORD_TOLERANCE_MM });
}
