import {
  cornersOf,
  measureBlock,
  type Block,
  type BlockFigures,
  type Finding,
  type Levels,
  type Moved,
  type Piece,
} from '#pattern';
import { carryLines, carryNotches } from './carry.js';
import { CHANGE_NAMES } from './changes.js';
import { EQUATIONS, type Equation, type FittingTargets } from './equations.js';
import {
  changedLines,
  levelFindings,
  limitFindings,
  lineFindings,
  missFindings,
  partInWords,
  REACHED_MM,
  wantedLimits,
  yieldFindings,
  type ChangedLine,
  type Wanted,
} from './fit-findings.js';
import { fitChanges, fitMoved, type FitChange } from './fit-record.js';
import type { FittingSettings } from './fitting-settings.js';
import { holdLine, mayYield } from './hold-line.js';
import { hipLevelFindings, hipLevelMm } from './hip-level.js';
import { redrawing, type RedrawnBlock, type RedrawnPiece } from './redraw.js';
import { solveFit, type FitSolution, type FitTask } from './solve-fit.js';
import { yieldedFindings, yieldedMeasures, type YieldedMeasure } from './yield-findings.js';
import { amountOf, readyBlock, type LevelHeights, type ReadyPiece } from './stations.js';

/** A block fitted to a body. */
export interface FittedBlock {
  readonly state: 'fitted' | 'short';
  readonly block: Block;
  /** What the block measured before. */
  readonly given: BlockFigures;
  /** Every length the block should have, the inseam at the depth that was used. */
  readonly targets: BlockFigures;
  readonly changes: readonly FitChange[];
  readonly lines: readonly ChangedLine[];
  /** Lengths that gave way to the block's own line; none where measures are kept. */
  readonly yielded: readonly YieldedMeasure[];
  readonly moved: readonly Moved[];
  readonly splitMoveMm: number;
  readonly depthMoveMm: number;
  readonly atLimit: readonly string[];
  readonly findings: readonly Finding[];
}

/** No block can be fitted to levels like these. */
export interface UnfittedBlock {
  readonly state: 'refused';
  readonly findings: readonly Finding[];
}

/**
 * A shop's own block fitted to a body by the alterations of the trade, its own line kept.
 *
 * Levels go where the body has them and everything between moves in proportion. Each named seam is let out or taken in
 * at each level by an unknown amount, shared as the shop's weights say; rises, depth, fork, darts, seat and belly are
 * unknowns too. Of all changes that reach every length the least is taken, and the one that bends the curves least.
 *
 * With `keep` 'line' no curve changes its character by more than 15 % or bends a way it did not, and lengths give way in
 * the order of `YIELDS`, each in `yielded` and in a finding; with 'measures' every length is reached and the curves that
 * changed more are named.
 *
 * Shape     the edges of the given block, in its order; a seam without a joint near a level is split there. Darts stay
 *           darts. A waistband grows by what the waist grows.
 * Accuracy  state 'fitted' promises each length of `targets` within 0.5 mm but the split of the crotch length and what is
 *           in `yielded`; in practice within 0.001 where measures are kept, a few hundredths where the line is. 'short'
 *           draws the block as near as the limits allow, with a stop finding for each length that is missed. A line that
 *           cannot be kept all the same is in `lines` and in LINE_CHANGED; no body of the survey brought that about.
 * Errors    PatternError SEAM_MISSING or LEVEL_MISSED for a block that `checkBlock` stops.
 * Cost      about 50 ms for nine blocks in ten with measures kept and twice to three times that with the line, a second at
 *           most; twice that where it cannot be reached.
 */
export function fitBlock(
  given: Block,
  targets: FittingTargets,
  settings: FittingSettings,
  toleranceMm: number,
): FittedBlock | UnfittedBlock {
  const near = levelFindings(targets);
  if (near.length > 0) return { state: 'refused', findings: near };
  const ready = readyBlock(given);
  const task: FitTask = { ready, redraw: redrawing(ready), targets, levels: levelsFor(targets), settings };
  const keepsLine = settings.keep === 'line';
  const solution = keepsLine ? holdLine(task) : solveFit(task);
  const drawn = task.redraw(solution.amounts);
  const changes = fitChanges(task, solution.amounts);
  const lines = changedLines(task, drawn);
  const depthMoveMm = solution.amounts[amountOf('depth')];
  const block = drawnBlock(given, task, solution, drawn, toleranceMm);
  const aimed = figureTargets(targets, depthMoveMm);
  const before = measureBlock(given, toleranceMm);
  const after = measureBlock(block, toleranceMm);
  const splitMoveMm = after.frontRise - aimed.frontRise;
  const isMissed = (name: Equation, missMm: number): boolean =>
    keepsLine ? !mayYield(task, name, missMm) : Math.abs(missMm) > REACHED_MM;
  const reached = EQUATIONS.every((name, i) => !isMissed(name, solution.errors[i]));
  const yielded = keepsLine ? yieldedMeasures(task, solution, aimed) : [];
  return {
    state: reached ? 'fitted' : 'short',
    block,
    given: before,
    targets: aimed,
    changes,
    lines,
    yielded,
    moved: [...fitMoved(changes, task), ...bandMoved(given, block)],
    splitMoveMm,
    depthMoveMm,
    atLimit: solution.held.map(partInWords),
    findings: [
      ...(reached ? [] : missFindings(solution, wantedFor(task), isMissed)),
      ...yieldedFindings(yielded),
      ...limitFindings(solution),
      ...yieldFindings(splitMoveMm, depthMoveMm),
      ...hipLevelFindings(targets, block),
      ...lineFindings(lines),
    ],
  };
}

function levelsFor(targets: FittingTargets): LevelHeights {
  const { hemLevelMm: hem, kneeLevelMm: knee, crotchLevelMm: crotch, waistLevelMm: waist } = targets;
  return { hem, knee, crotch, hip: hipLevelMm(targets), waist };
}

function drawnBlock(
  given: Block,
  { ready, levels }: FitTask,
  { amounts }: FitSolution,
  drawn: RedrawnBlock,
  toleranceMm: number,
): Block {
  const outlines = { front: outlineOf(ready.front, drawn.front), back: outlineOf(ready.back, drawn.back) };
  const { hem, knee, hip } = levels;
  const at: Levels = { hem, knee, hip, crotch: cornersOf(outlines.front).fork.y };
  const notches = carryNotches(ready.block, outlines);
  const piece = (role: 'front' | 'back'): Piece => ({
    ...outlines[role],
    lines: carryLines(ready[role], outlines[role], at, amounts),
    notches: notches[role],
  });
  const block = { ...given, levels: at, front: piece('front'), back: piece('back') };
  if (given.waistbandMm === undefined) return block;
  const growsMm = measureBlock(block, toleranceMm).waist - measureBlock(given, toleranceMm).waist;
  return { ...block, waistbandMm: given.waistbandMm + growsMm };
}

function outlineOf({ piece, strands }: ReadyPiece, { curves }: RedrawnPiece): Piece {
  return { ...piece, edges: strands.map(({ edge }, i) => ({ ...edge, curve: curves[i] })) };
}

function bandMoved({ waistbandMm: beforeMm }: Block, { waistbandMm: afterMm }: Block): Moved[] {
  if (beforeMm === undefined || afterMm === undefined) return [];
  return [{ operation: 'cut to the waist', part: 'waistband', byMm: afterMm - beforeMm, beforeMm, afterMm }];
}

/** Limits no shop would set, to find out what a miss would need. */
const WIDE = { seamMm: 120, riseMm: 160, depthMm: 60, seatDeg: 20 } as const;

function wantedFor(task: FitTask): Wanted[] | undefined {
  const { settings } = task;
  const limits = { ...settings.limits, ...WIDE };
  const wider = { ...task, settings: { ...settings, limits } };
  const wide = settings.keep === 'line' ? holdLine(wider) : solveFit(wider);
  return wide.solved ? wantedLimits(wide, settings, CHANGE_NAMES) : undefined;
}

function figureTargets(targets: FittingTargets, depthMoveMm: number): BlockFigures {
  const inseamMm = targets.inseamMm - depthMoveMm;
  return {
    waist: targets.waistMm,
    hip: targets.hipMm,
    thigh: targets.thighMm,
    knee: targets.kneeMm,
    hem: targets.hemMm,
    frontRise: targets.frontRiseMm,
    backRise: targets.backRiseMm,
    totalRise: targets.frontRiseMm + targets.backRiseMm,
    inseamFront: inseamMm,
    inseamBack: inseamMm - targets.backInseamStretchMm,
    outseamFront: targets.outseamMm,
    outseamBack: targets.outseamMm,
  };
}
