import { at, crossingsWithLine, line, pointAt } from '#geometry';
import {
  measureBlock,
  type Block,
  type BlockFigures,
  type Edge,
  type Finding,
  type Piece,
  type PieceLine,
  type PieceRole,
} from '#pattern';
import { dartCuts, edgesOfShape } from './block-pieces.js';
import { blockFindings } from './block-findings.js';
import { INDEX, PARAMETERS, type Parameter } from './parameters.js';
import { limitFindings, refusalFinding, type RefusedOrder } from './refusal.js';
import { solveBlock, type SolvedBlock, type UnsolvedBlock } from './solve-block.js';
import { targetsFor, type DraftingMeasures, type Ease, type Targets } from './targets.js';
import { yieldsInWords, type YieldInWords } from './yield-words.js';
import { NO_LIMITS, type YieldLimits } from './yielding.js';

/** A block drafted from a body, with what it reached and what had to yield. */
export interface DraftedBlock {
  readonly state: 'drafted';
  readonly block: Block;
  /** What the draft aimed at. Rises are the taped split; inseams are at the depth ease this draft got. */
  readonly targets: BlockFigures;
  readonly drafted: BlockFigures;
  /** Front rise drafted minus taped; the back has the opposite. */
  readonly splitMoveMm: number;
  /** Depth ease used minus ordered. */
  readonly depthMoveMm: number;
  readonly atLimit: readonly Parameter[];
  /** 0 when the draft was solved as ordered; see YIELD_ROWS. */
  readonly row: number;
  /** Over all attempts. */
  readonly iterations: number;
  /** What yielded and what to measure again, from the first to yield to the last. */
  readonly yields: readonly YieldInWords[];
  readonly findings: readonly Finding[];
}

export interface RefusedBlock {
  readonly state: 'refused';
  readonly findings: readonly Finding[];
}

/**
 * Draft the measured block of a body: every length a body measure plus a stated ease.
 *
 * Shape     front and back of one leg, darts open, the crease drawn in from hem to waist, no notches.
 * Accuracy  every target but the split of the crotch length within 0.01 mm, measured with certified lengths at
 *           `toleranceMm`. The split and the depth ease may move; both moves are in the result.
 * Errors    a body for which no block can be drawn gives state 'refused' with a stop finding that names the
 *           length it misses, by how much, and what to measure again; where only a limit of the shop is in the way,
 *           that limit and what would be enough. Nothing is thrown for any finite measures.
 * Cost      a millisecond, two at most for the bodies of the survey; a refused body some tenths of a second.
 */
export function draftBlock(
  body: DraftingMeasures,
  ease: Ease,
  toleranceMm: number,
  limits: YieldLimits = NO_LIMITS,
): DraftedBlock | RefusedBlock {
  const targets = targetsFor(body, ease);
  const solved = solveBlock(targets, limits);
  if ('best' in solved)
    return { state: 'refused', findings: refusal({ body, ease, targets, limits }, solved) };
  const block = blockOf(solved);
  const drafted = measureBlock(block, toleranceMm);
  const depthMoveMm = solved.parameters[INDEX.depthMove];
  const aimed = figureTargets(targets, depthMoveMm);
  const atLimit = PARAMETERS.filter((_, i) => solved.held[i] !== 0);
  const outcome = {
    block,
    targets: aimed,
    drafted,
    splitMoveMm: drafted.frontRise - aimed.frontRise,
    depthMoveMm,
    atLimit,
  };
  return {
    state: 'drafted',
    ...outcome,
    row: solved.row,
    iterations: solved.iterations,
    yields: yieldsInWords({
      ...outcome,
      hipMoveMm: solved.frame.hipLevelMm - targets.bodyHipLevelMm,
      parameters: solved.parameters,
    }),
    findings: blockFindings(solved, outcome),
  };
}

function refusal(order: RefusedOrder, unsolved: UnsolvedBlock): Finding[] {
  const { targets, limits } = order;
  if (limits.splitMm !== undefined || limits.depthMm !== undefined) {
    const free = solveBlock(targets, NO_LIMITS);
    const inTheWay = 'best' in free ? [] : limitFindings(targets, free, limits);
    if (inTheWay.length > 0) return inTheWay;
  }
  return [refusalFinding(order, unsolved)];
}

function figureTargets(targets: Targets, depthMoveMm: number): BlockFigures {
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

function blockOf(solved: SolvedBlock): Block {
  const { frame, shape } = solved;
  const levels = {
    hip: frame.hipLevelMm,
    crotch: shape.front.fork.y,
    knee: frame.targets.kneeLevelMm,
    hem: frame.targets.hemLevelMm,
  };
  const piece = (role: PieceRole): Piece => {
    const cuts = dartCuts(shape[role]);
    if (cuts === undefined)
      throw new Error(`a dart of the ${role} misses its waist in a block that passed its checks`);
    const edges = edgesOfShape(shape[role], cuts);
    return { role, edges, lines: creaseOf(edges, levels.hem), notches: [] };
  };
  return { name: 'from-body', levels, front: piece('front'), back: piece('back') };
}

/** Up to the waist seam; where a dart's mouth stands open over the crease, up to the leg that it meets first. */
function creaseOf(edges: readonly Edge[], hemMm: number): PieceLine[] {
  const lowest = (role: Edge['role']): number =>
    Math.min(
      ...edges
        .filter((edge) => edge.role === role)
        .flatMap(({ curve }) =>
          crossingsWithLine(curve, at(0, hemMm), at(0, 1)).map((t) => pointAt(curve, t).y),
        ),
    );
  const topMm = [lowest('waist'), lowest('dart')].find(Number.isFinite);
  return topMm === undefined ? [] : [{ role: 'crease', curves: [line(at(0, hemMm), at(0, topMm))] }];
}
