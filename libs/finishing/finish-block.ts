import type { Block, Finding, Moved } from '#pattern';
import { trueBlock, trueSeams, type AppliedFix, type TruingReport, type TruingRules } from '#truing';
import type { CutPiece, MadePiece } from './cut-piece.js';
import type { FinishRules } from './finish-rules.js';
import { flyPieces, type FlyPieces } from './fly-pieces.js';
import { pocketPieces, withPocketNotches } from './pocket-pieces.js';
import { setNotches } from './set-notches.js';
import { shapeHems } from './shape-hem.js';
import { grownForShrinkage, type Shrinkage } from './shrinkage.js';
import { addedPlans, casingRules } from './added-pieces.js';
import { finishSmallPiece } from './small-piece.js';
import { allowanceEnds, finishTrouserPiece } from './trouser-piece.js';
import { waistbandPlans } from './waistband.js';

export interface FinishedPattern {
  /** The seam lines as they are cut: grown for shrinkage, trued again, hems shaped, notches set. */
  readonly block: Block;
  readonly pieces: readonly CutPiece[];
  /** Of `block`, hem corners deciding. */
  readonly truing: TruingReport;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
}

const NO_FLY: FlyPieces = { plans: [], findings: [] };

/**
 * Cut pieces from trued pieces: grown for shrinkage, trued again, the hem shaped square to both seams, allowances,
 * corners, notches, drill holes, and the small pieces measured from the trued edges they are sewn to.
 *
 * Shape     front, back, then waistband or casing, fly pieces, pocket pieces, as ordered, then pieces an alteration added.
 * Accuracy  the cut line's chords within `rules.accuracy.cutLineMm`, notches within `rules.accuracy.seamMm` of their
 *           seam distance.
 * Edges     the findings of the truing after shrinkage are among the findings only when there is shrinkage: without it
 *           the caller has them.
 * Errors    PatternError SEAM_MISSING; `checkBlock` says it as a finding first.
 * Cost      about 4 ms.
 */
export function finishBlock(
  block: Block,
  rules: FinishRules,
  shrinkage: Shrinkage,
  truingRules: TruingRules,
  fixes: readonly AppliedFix[] = [],
): FinishedPattern {
  const { seamMm } = rules.accuracy;
  const grown = grownForShrinkage(block, shrinkage, seamMm);
  const trued = grown === block ? { block, moved: [], fixes, findings: [] } : trueSeams(grown, truingRules);
  const shaped = shapeHems(trued.block);
  const notched = setNotches(withPocketNotches(shaped, rules), seamMm);
  const truing = trueBlock(notched, { ...truingRules, hem: 'finished' }, [...fixes, ...trued.fixes]);
  const fly = notched.pullOn === true ? NO_FLY : flyPieces(notched.front, rules);
  const plans = [
    ...waistbandPlans(notched, casingRules(notched, rules)),
    ...fly.plans,
    ...pocketPieces(notched.front, rules),
    ...addedPlans(notched, rules),
  ];
  const ends = allowanceEnds(notched.front, notched.back, rules);
  const made: MadePiece[] = [
    finishTrouserPiece(notched.front, ends, rules),
    finishTrouserPiece(notched.back, ends, rules),
    ...plans.map((plan) => finishSmallPiece(plan, rules)),
  ];
  return {
    block: notched,
    pieces: made.map(({ piece }) => piece),
    truing,
    moved: trued.moved,
    findings: [...trued.findings, ...fly.findings, ...made.flatMap(({ findings }) => findings)],
  };
}
