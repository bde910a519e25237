import { dropCrotch, type AlterationResult } from '#alterations';
import type { CompleteMeasures } from '#measurements';
import type { Block, Finding, Moved } from '#pattern';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import type { AlterationOrder } from './draft-order.js';

/** The second stage: every alteration in the order given, until one is refused. */
export interface AlterationStage {
  readonly block: Block;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
}

export function alterationStage(
  block: Block,
  orders: readonly AlterationOrder[],
  measures: CompleteMeasures,
): AlterationStage {
  const moved: Moved[] = [];
  const findings: Finding[] = [];
  let altered = block;
  for (const [index, order] of orders.entries()) {
    const result = alter(altered, order, measures, `/alterations/${index}/with`);
    altered = result.block;
    moved.push(...result.moved);
    findings.push(...result.findings);
    if (result.refused) break;
  }
  return { block: altered, moved, findings };
}

function alter(
  block: Block,
  order: AlterationOrder,
  measures: CompleteMeasures,
  pointer: string,
): AlterationResult {
  const wearer = {
    heelGirthMm: measures.heelGirth,
    calfGirthMm: measures.calfGirth,
    waistGirthMm: measures.waistGirth,
    pointer,
  };
  return dropCrotch(block, order.with, wearer, { lengthMm: LENGTH_TOLERANCE_MM });
}
