import { inspectOutline, type Block } from '#pattern';
import type { OutlineCheck } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

/** Both outlines. Short edges, slivers and tight bends are named, but only what cannot be cut at all is off. */
export function checkOutlines(block: Block, rules: TruingRules): OutlineCheck[] {
  return [block.front, block.back].map((piece) => {
    const found = inspectOutline(piece, rules.outline);
    const sound =
      found.gaps.length === 0 && found.crossings.length === 0 && found.orientation === 'clockwise';
    return { piece: piece.role, state: sound ? 'ok' : 'off', ...found };
  });
}
