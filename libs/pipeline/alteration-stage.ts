import { correctBlock, type AlterationResult, type Wearer, type WearerMeasure } from '#alterations';
import type { BodyCorrection, CompleteMeasures, MeasureName } from '#measurements';
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

/** A body's measures and which of them nobody took. */
export interface MeasuredBody {
  readonly measures: CompleteMeasures;
  readonly estimated: ReadonlySet<MeasureName>;
}

export function alterationStage(
  block: Block,
  orders: readonly AlterationOrder[],
  { measures, estimated }: MeasuredBody,
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
      alter(
        from,
        order,
        { measures: asFitted(measures, waistCorrectedMm), estimated },
        `/alterations/${index}/with`,
      ),
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

const WEARER_MEASURES = {
  heelGirthMm: 'heelGirth',
  calfGirthMm: 'calfGirth',
  kneeGirthMm: 'kneeGirth',
  thighGirthMm: 'thighGirth',
  waistGirthMm: 'waistGirth',
  hipGirthMm: 'hipGirth',
} as const satisfies Record<WearerMeasure, MeasureName>;

function alter(
  block: Block,
  order: AlterationOrder,
  { measures, estimated }: MeasuredBody,
  pointer: string,
): RecipeResult {
  const names = Object.entries(WEARER_MEASURES) as [WearerMeasure, MeasureName][];
  const wearer: Wearer = {
    ...Object.fromEntries(names.map(([name, measure]) => [name, measures[measure]])),
    estimated: names.filter(([, measure]) => estimated.has(measure)).map(([name]) => name),
    pointer,
  };
  return runRecipe(compiledRecipe(order), order.with, block, wearer, { lengthMm: RECORD_TOLERANCE_MM });
}
