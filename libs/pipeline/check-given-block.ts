import { BLOCK_TOLERANCES, checkBlock, type Finding } from '#pattern';
import { TRADE_RULES, trueBlock } from '#truing';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import { canonicalBlock } from './block-stage.js';
import type { ForeignBlock } from './draft-order.js';
import { truingFile } from './truing-file.js';
import { writtenFinding } from './draft-file.js';

export interface CheckedBlock {
  /** What `truing.json` of a draft holds, with the findings of the block itself in front. */
  readonly report: unknown;
  readonly findings: readonly Finding[];
}

/**
 * The truing report of a block that somebody sent as JSON, as it stands: nothing is corrected.
 *
 * Edges   a block that nothing can be drawn on has no seams to compare: its report holds its findings alone.
 */
export function checkGivenBlock(given: ForeignBlock): CheckedBlock {
  const { block, findings } = canonicalBlock(given);
  const found = [...findings, ...checkBlock(block, BLOCK_TOLERANCES)];
  const isBroken = found.some(({ level }) => level === 'stop');
  const truing = isBroken
    ? undefined
    : trueBlock(block, { ...TRADE_RULES, lengthToleranceMm: LENGTH_TOLERANCE_MM });
  const all = [...found, ...(truing?.findings ?? [])];
  const report = { ...(truingFile(truing) as Record<string, unknown>), findings: all.map(writtenFinding) };
  return { report, findings: all };
}
