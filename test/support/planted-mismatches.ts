import { finishBlock, type CutPiece } from '#finishing';
import { TRADE_RULES } from '#truing';
import { blockWithMismatch, type Mismatch } from './mismatched-block.js';
import type { Sound } from './planted/fault.js';

/** A pattern with a mismatch in it; its knee notches lie where they lay, so that it is above or below them. */
export function withMismatch({ pattern, rules }: Sound, mismatch: Mismatch): CutPiece[] {
  const old = pattern.pieces.find(({ id }) => id === mismatch.piece)?.notches ?? [];
  const marks = old.filter(({ seam, name }) => seam === mismatch.seam && name !== 'hem fold');
  const block = blockWithMismatch(
    pattern.block,
    mismatch,
    marks.map(({ foot }) => foot),
  );
  const truing = { ...TRADE_RULES, lengthToleranceMm: 0.004 };
  const made = finishBlock(block, rules, { warp: 0, weft: 0 }, truing).pieces;
  return made.map((piece) => withOldNotches(piece, pattern.pieces, mismatch));
}

/** Finishing sets the notches of long seams from the hem; those between the ends stay where they were cut. */
function withOldNotches(piece: CutPiece, before: readonly CutPiece[], { seam }: Mismatch): CutPiece {
  const old = before.find(({ id }) => id === piece.id)?.notches ?? [];
  const isKept = (notch: CutPiece['notches'][number]): boolean =>
    notch.seam === seam && notch.name !== 'hem fold';
  return { ...piece, notches: [...piece.notches.filter((notch) => !isKept(notch)), ...old.filter(isKept)] };
}
