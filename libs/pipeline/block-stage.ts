import {
  draftBlock,
  targetsFor,
  TRADE_WORDS,
  type Ease,
  type YieldInWords,
  type YieldLimits,
} from '#drafting';
import { easeFor, easeInCloth, inCloth, leastGirths } from '#fit';
import {
  fitBlock,
  fittedMeasures,
  type FitChange,
  type FittedMeasure,
  type FittingSettings,
  type FittingTargets,
} from '#fitting';
import { completeMeasures, type CompleteMeasures, type Estimate } from '#measurements';
import {
  BLOCK_TOLERANCES,
  canonicalPiece,
  checkBlock,
  measureBlock,
  type Block,
  type BlockFigures,
  type Finding,
  type Moved,
  type PieceRole,
} from '#pattern';
import { trueSeams, TRADE_RULES, type AppliedFix } from '#truing';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import type { DraftOrder, ForeignBlock } from './draft-order.js';
import { girthTargets } from './fit-rows.js';

/** The first stage: a block for this body, drafted or given, ready to be altered. */
export interface BlockStage {
  /** Undefined when no block can be drawn; the findings then say why. */
  readonly made: MadeBlock | undefined;
  readonly measures: CompleteMeasures;
  readonly estimates: readonly Estimate[];
  readonly moved: readonly Moved[];
  /** What was done to true a given block before it is altered. */
  readonly fixes: readonly AppliedFix[];
  readonly findings: readonly Finding[];
}

/** A block ready to be altered, with what it measures. */
export interface MadeBlock {
  readonly block: Block;
  readonly drafted: BlockFigures;
  /** What every figure of the block should be; girths only for a given block that was not fitted. */
  readonly targets: Partial<BlockFigures>;
  /** Undefined for a given block as it stands, which nothing was asked to reach. */
  readonly yielded: Yielded | undefined;
  /** How a given block was fitted to the body. */
  readonly fitted?: Fitted;
}

/** Which alterations fitted a block, and which measure was reached by which of them. */
export interface Fitted {
  /** The block as it was given and trued. */
  readonly given: Block;
  readonly changes: readonly FitChange[];
  readonly measures: readonly FittedMeasure[];
}

/** What a drafted block had to give, and by how much. */
export interface Yielded {
  readonly row: number;
  readonly splitMoveMm: number;
  readonly depthMoveMm: number;
  readonly atLimit: readonly string[];
  /** In words, from the first to yield to the last. */
  readonly inWords: readonly YieldInWords[];
}

export function blockStage(order: DraftOrder): BlockStage {
  const { measures, estimates } = completeMeasures(order.body);
  const { name, overrides } = order.ease;
  const woven = easeFor(name, order.body.insideLegTaken, overrides);
  const ease = easeInCloth(woven, overrides, measures, order.cloth?.stretchPercent ?? 0);
  if (order.block === 'from-body') return draftedStage(measures, estimates, ease, order.yielding ?? {});
  const given = givenStage(order.block, measures, estimates, ease);
  if (order.fitting === undefined) return asItStands(given);
  const leastMm = leastGirths(inCloth(measures, order.cloth?.stretchPercent ?? 0));
  return fittedStage(given, { ...targetsFor(measures, ease), leastMm }, order.fitting);
}

function draftedStage(
  measures: CompleteMeasures,
  estimates: readonly Estimate[],
  ease: Ease,
  limits: YieldLimits,
): BlockStage {
  const result = draftBlock(measures, ease, LENGTH_TOLERANCE_MM, limits);
  const nothing = { measures, estimates, moved: [], fixes: [], findings: result.findings };
  if (result.state === 'refused') return { ...nothing, made: undefined };
  const { block, drafted, targets, row, splitMoveMm, depthMoveMm, yields } = result;
  const atLimit = result.atLimit.map((name) => TRADE_WORDS[name]);
  return {
    ...nothing,
    made: { block, drafted, targets, yielded: { row, splitMoveMm, depthMoveMm, atLimit, inWords: yields } },
  };
}

function givenStage(
  foreign: ForeignBlock,
  measures: CompleteMeasures,
  estimates: readonly Estimate[],
  ease: Ease,
): BlockStage {
  const given = canonicalBlock(foreign);
  const found = [...given.findings, ...checkBlock(given.block, BLOCK_TOLERANCES)];
  if (found.some((finding) => finding.level === 'stop')) {
    return { measures, estimates, made: undefined, moved: [], fixes: [], findings: found };
  }
  const trued = trueSeams(given.block, TRADE_RULES);
  const { block } = trued;
  const drafted = measureBlock(block, LENGTH_TOLERANCE_MM);
  const targets = girthTargets(measures, ease);
  return {
    measures,
    estimates,
    made: { block, drafted, targets, yielded: undefined },
    moved: trued.moved,
    fixes: trued.fixes,
    findings: [...found, ...trued.findings],
  };
}

function asItStands(given: BlockStage): BlockStage {
  if (given.made === undefined) return given;
  const { drafted, targets } = given.made;
  return { ...given, findings: [...given.findings, ...conflicts(drafted, targets)] };
}

// Trued before it is fitted, so that seams start equal, and after, for what fitting has left.
function fittedStage(given: BlockStage, aimed: FittingTargets, settings: FittingSettings): BlockStage {
  const { made } = given;
  if (made === undefined) return given;
  const result = fitBlock(made.block, aimed, settings, LENGTH_TOLERANCE_MM);
  const findings = [...given.findings, ...result.findings];
  if (result.state === 'refused') return { ...given, made: undefined, findings };
  const trued = trueSeams(result.block, TRADE_RULES);
  const drafted = measureBlock(trued.block, LENGTH_TOLERANCE_MM);
  const { changes, targets, splitMoveMm, depthMoveMm, atLimit } = result;
  return {
    ...given,
    made: {
      block: trued.block,
      drafted,
      targets,
      yielded: { row: 0, splitMoveMm, depthMoveMm, atLimit, inWords: [] },
      fitted: {
        given: made.block,
        changes,
        measures: fittedMeasures(changes, result.given, targets, drafted),
      },
    },
    moved: [...given.moved, ...result.moved, ...trued.moved],
    fixes: [...given.fixes, ...trued.fixes],
    findings: [...findings, ...trued.findings],
  };
}

/** A block from outside in our order, with what could not be set in it. */
export function canonicalBlock({ name, levels, pieces, waistbandMm }: ForeignBlock): {
  block: Block;
  findings: Finding[];
} {
  const read = (role: PieceRole): ReturnType<typeof canonicalPiece> => {
    const piece = pieces.find((candidate) => candidate.role === role);
    if (piece === undefined) throw new Error(`a given block came through the door without a ${role}`);
    return canonicalPiece(role, piece.edges, {
      notches: piece.notches,
      lines: piece.lines,
      joinMm: JOIN_MM,
      lengthToleranceMm: LENGTH_TOLERANCE_MM,
    });
  };
  const front = read('front');
  const back = read('back');
  const band = waistbandMm === undefined ? {} : { waistbandMm };
  return {
    block: { name, levels, front: front.piece, back: back.piece, ...band },
    findings: [...front.findings, ...back.findings],
  };
}

/** Ends of neighbouring edges nearer than this are one point that was written twice; coordinates are written to 1e-6. */
const JOIN_MM = 0.01;

/** A block this much under body and ease is somebody else's; common practice, no source. */
const CONFLICT_MM = 10;

// A given block is used as it stands; where it does not fit the body that is said, and the draft is made all the same.
function conflicts(drafted: BlockFigures, targets: Partial<BlockFigures>): Finding[] {
  return (['waist', 'hip', 'thigh', 'knee', 'hem'] as const).flatMap((name): Finding[] => {
    const shortMm = (targets[name] ?? 0) - drafted[name];
    if (shortMm <= CONFLICT_MM) return [];
    return [
      {
        code: 'BLOCK_UNDER_BODY',
        level: 'warning',
        message: `The ${name} of the block is ${shortMm.toFixed(1)} mm under what this body and ease ask for.`,
        action:
          'Have the block fitted ("fit": "to-body"), use a larger one, order less ease, or have it drafted from the body.',
        place: { part: name },
        numbers: { shortMm },
      },
    ];
  });
}
