import { measureBlock, type BlockFigures, type Finding, type Levels } from '#pattern';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import { writtenPiece, type WrittenEdge } from './block-file.js';
import type { DraftOrder } from './draft-order.js';
import { draftResult } from './produce-draft.js';

/** What a person sees while trying amounts: outlines, what they measure, and what there is to say. */
export interface Preview {
  readonly answer: 'ready' | 'stopped';
  /** None where no block could be made. */
  readonly pieces: readonly { readonly role: string; readonly edges: readonly WrittenEdge[] }[];
  readonly levels?: Levels;
  readonly measures?: BlockFigures;
  readonly sewable?: boolean;
  readonly findings: readonly Finding[];
}

/**
 * The geometry of a draft, and nothing that is written from it.
 *
 * Shape     the same pieces and findings as `produceDraft` of the same order before finishing.
 * Accuracy  as there: measures are certified to 0.004 mm.
 * Cost      that of the geometry: some ms for a block from a body, about one for a block that is given.
 */
export function previewDraft(order: DraftOrder): Preview {
  const { finished, findings } = draftResult(order);
  const answer = findings.some(({ level }) => level === 'stop') ? 'stopped' : 'ready';
  if (finished === undefined) return { answer, pieces: [], findings };
  const { block, truing } = finished;
  const { front, back, levels } = block;
  return {
    answer,
    pieces: [front, back].map((piece) => ({ role: piece.role, edges: writtenPiece(piece, levels).edges })),
    levels,
    measures: measureBlock(block, LENGTH_TOLERANCE_MM),
    sewable: truing.sewable,
    findings,
  };
}
