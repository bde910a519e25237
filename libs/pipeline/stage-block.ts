import { draftBlock, TRADE_WORDS, type Ease } from '#drafting';
import { easeFor } from '#fit';
import { completeMeasures, type CompleteMeasures, type Estimate } from '#measurements';
import { checkBlock, measureBlock, type Block, type BlockFigures, type Finding, type Moved } from '#pattern';
import { trueSeams, TRADE_RULES } from '#truing';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import type { DraftOrder } from './draft-order.js';
import { girthTargets } from './fit-rows.js';

/** The first stage: a block for this body, drafted or given, ready to be altered. */
export interface BlockStage {
  /** Undefined when no block can be drawn; the findings then say why. */
  readonly block: Block | undefined;
  readonly measures: CompleteMeasures;
  readonly estimates: readonly Estimate[];
  /** What every figure of the block should be; girths only for a given block. */
  readonly targets: Partial<BlockFigures>;
  readonly drafted: BlockFigures | undefined;
  readonly yielded: Yielded | undefined;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
}

/** What a drafted block had to give, and by how much. */
export interface Yielded {
  readonly row: number;
  readonly splitMoveMm: number;
  readonly depthMoveMm: number;
  readonly atLimit: readonly string[];
}

export function blockStage(order: DraftOrder): BlockStage {
  const { measures, estimates } = completeMeasures(order.body);
  const ease = easeFor(order.ease.name, order.body.insideLegTaken, order.ease.overrides);
  return order.block.kind === 'from-body'
    ? draftedStage(measures, estimates, ease)
    : givenStage(order.block.block, measures, estimates, ease);
}

function draftedStage(measures: CompleteMeasures, estimates: readonly Estimate[], ease: Ease): BlockStage {
  const result = draftBlock(measures, ease, LENGTH_TOLERANCE_MM);
  const nothing = { measures, estimates, moved: [], findings: result.findings };
  if (result.state === 'refused')
    return { ...nothing, block: undefined, targets: {}, drafted: undefined, yielded: undefined };
  const { row, splitMoveMm, depthMoveMm } = result;
  const atLimit = result.atLimit.map((name) => TRADE_WORDS[name]);
  return {
    ...nothing,
    block: result.block,
    targets: result.targets,
    drafted: result.drafted,
    yielded: { row, splitMoveMm, depthMoveMm, atLimit },
  };
}

function givenStage(
  given: Block,
  measures: CompleteMeasures,
  estimates: readonly Estimate[],
  ease: Ease,
): BlockStage {
  const targets = girthTargets(measures, ease);
  const found = checkBlock(given, TRADE_RULES.outline);
  const base = { measures, estimates, targets, yielded: undefined };
  if (found.some((finding) => finding.level === 'stop')) {
    return { ...base, block: undefined, drafted: undefined, moved: [], findings: found };
  }
  const trued = trueSeams(given, TRADE_RULES);
  const drafted = measureBlock(trued.block, LENGTH_TOLERANCE_MM);
  return {
    ...base,
    block: trued.block,
    drafted,
    moved: trued.moved,
    findings: [...found, ...trued.findings, ...conflicts(drafted, targets)],
  };
}

/** A block this much under body and ease is somebody else's; common practice, no source. */
const CONFLICT_MM = 10;

// A given block is used as it stands; where it does not fit the body that is said, and the draft is made all the same.
function conflicts(drafted: BlockFigures, targets: ReturnType<typeof girthTargets>): Finding[] {
  return (['waist', 'hip', 'thigh', 'knee', 'hem'] as const).flatMap((name): Finding[] => {
    const shortMm = targets[name] - drafted[name];
    if (shortMm <= CONFLICT_MM) return [];
    return [
      {
        code: 'BLOCK_UNDER_BODY',
        level: 'warning',
        message: `The ${name} of the block is ${shortMm.toFixed(1)} mm under what this body and ease ask for.`,
        action: 'Use a larger block, order less ease, or have the block drafted from the body.',
        place: { part: name },
        numbers: { shortMm },
      },
    ];
  });
}
