import type { CornerName, SeamCheck, SeamName } from '#truing';
import { measureInWords, type BodyCorrection } from '#measurements';
import { FIGURES, type Block, type Moved } from '#pattern';
import { alterationInWords } from '#recipes';
import { compiledRecipe } from './compiled-recipe.js';
import type {
  CornerRow,
  DrawnPieces,
  MeasureRow,
  PatternContent,
  ProofContent,
  ProofFacts,
  SeamRow,
} from '#sheets';
import type { AlterationOrder, DraftOrder, Provenance } from './draft-order.js';
import { FIGURE_WORDS, fitRows } from './fit-rows.js';
import type { DrawableResult, FinishedDraft } from './produce-draft.js';

export function proofContent(
  order: DraftOrder,
  provenance: Provenance,
  result: DrawableResult,
): ProofContent {
  const { stage, finished, moved, findings, fit } = result;
  const { block, truing } = finished;
  return {
    facts: facts(order, finished),
    ...beforeOf(finished),
    after: drawn(block),
    moved: finished.made.fitted === undefined ? moved : largestFirst(moved),
    findings,
    sewable: truing.sewable,
    seams: truing.seams.map(seamRow),
    corners: truing.corners.map((corner): CornerRow => ({
      at: CORNER_WORDS[corner.at],
      anglesDeg: corner.angles,
      sumDeg: corner.sum,
      targetDeg: corner.target,
      deviationDeg: corner.deviation,
      state: corner.state,
    })),
    added: block.added ?? [],
    allowances: order.finish === undefined ? 'none' : 'in-cut-files',
    measures: measureRows(result),
    fit: fit.map(({ words, valueMm, green, state }) => ({ name: words, valueMm, green, state })),
    estimates: stage.estimates.map(({ measure, valueMm, sdMm }) => ({
      name: measureInWords(measure),
      valueMm,
      plusMinusMm: sdMm,
    })),
    provenance: dated(order, provenance),
  };
}

export function patternContent(
  order: DraftOrder,
  provenance: Provenance,
  { finished }: DrawableResult,
): PatternContent {
  const { block } = finished;
  return { facts: facts(order, finished), pieces: drawn(block), provenance: dated(order, provenance) };
}

function drawn({ front, back, levels }: Block): DrawnPieces {
  return { front, back, levels };
}

// Without a style the alterations are those of the fitting, and what was before is the block as it was given.
function beforeOf({ made, block }: FinishedDraft): Pick<ProofContent, 'before'> {
  const before = made.block === block ? made.fitted?.given : made.block;
  return before === undefined ? {} : { before: drawn(before) };
}

// Fitting moves thirty things, and a sheet has room for ten.
function largestFirst(moved: readonly Moved[]): Moved[] {
  return [...moved].sort((a, b) => Math.abs(b.byMm) - Math.abs(a.byMm));
}

function facts(order: DraftOrder, { made, block }: FinishedDraft): ProofFacts {
  return {
    reference: order.reference ?? order.body.ref,
    blockName: block.name,
    alterations: [
      ...stretchInWords(order.cloth?.stretchPercent ?? 0),
      ...(made.fitted === undefined ? [] : ['block fitted to the body']),
      ...(order.body.corrections ?? []).map(correctionInWords),
      ...order.alterations.map(orderInWords),
    ],
  };
}

function dated(order: DraftOrder, { engine, requestHash }: Provenance): ProofContent['provenance'] {
  return { engine, requestHash, ...(order.dated === undefined ? {} : { dated: order.dated }) };
}

function stretchInWords(percent: number): string[] {
  return percent === 0 ? [] : [`cloth gives ${percent} % round the body; ease is less by it`];
}

/** "after fitting: waist -10 mm". */
function correctionInWords({ use, byMm }: BodyCorrection): string {
  const sign = byMm < 0 ? '−' : '+';
  return `after fitting: ${use === 'waist' ? 'waist' : 'centre back'} ${sign}${Number(Math.abs(byMm).toFixed(1))} mm`;
}

/** "drop-crotch: drop 0.5 of the way …, rises +15 mm and +10 mm, hem in 19 mm". */
export function orderInWords(order: AlterationOrder): string {
  return alterationInWords({ ...compiledRecipe(order).recipe, name: order.use }, order.with);
}

const SEAM_WORDS: Readonly<Record<SeamName, string>> = {
  inseam: 'inseam',
  outseam: 'outseam',
  'centre-front': 'centre front',
  'centre-back': 'centre back',
  waist: 'waist and band',
  dart: 'dart',
};

const CORNER_WORDS: Readonly<Record<CornerName, string>> = {
  fork: 'fork',
  sideWaist: 'side waist',
  sideHem: 'side hem',
  inseamHem: 'inseam hem',
  centreFrontWaist: 'centre front waist',
  centreBackWaist: 'centre back waist',
};

function seamRow(check: SeamCheck): SeamRow {
  const centre = check.seam === 'centre-front' || check.seam === 'centre-back';
  const name = check.seam === 'dart' ? `${check.first.piece} ${SEAM_WORDS.dart}` : SEAM_WORDS[check.seam];
  const pair = centre
    ? {}
    : {
        secondMm: check.second.lengthMm,
        differenceMm: check.difference,
        allowedMm: { fromMm: check.allowed.min, toMm: check.allowed.max },
      };
  return { seam: name, firstMm: check.first.lengthMm, ...pair, state: check.state };
}

// The block against the body; what the finished pieces measure stands along their seams.
function measureRows({ stage, finished: { made } }: DrawableResult): MeasureRow[] {
  const fit = fitRows(stage.measures, made.targets, made.drafted);
  return FIGURES.map((name): MeasureRow => {
    const row = fit.find((candidate) => candidate.name === name);
    if (row === undefined) return { name: FIGURE_WORDS[name], draftedMm: made.drafted[name] };
    const { bodyMm, easeMm, targetMm, draftedMm, differenceMm } = row;
    return { name: FIGURE_WORDS[name], bodyMm, easeMm, targetMm, draftedMm, differenceMm };
  });
}
