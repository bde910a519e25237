import type { Block, Levels, Piece } from '#pattern';
import type { AlterationTolerances } from './alteration-result.js';
import { closedUp, settleIds, withoutShortEdges } from './edge-identity.js';
import { endBalanceLines } from './end-balance-lines.js';
import { done, inOrder, onBoth, type Outcome, type PiecePair } from './outcome.js';
import { reNotch, type ReNotched } from './re-notch.js';

/** Join what the steps have redrawn into whole outlines: each edge starts where the one before ends, with an id of its own. */
export function whole(before: Piece, piece: Piece): Piece {
  return settleIds(before, closedUp(withoutShortEdges(piece)));
}

/**
 * Draw into both outlines what the eye goes by: close them, end the balance lines at the seams, set the notches again.
 *
 * Shape     `before` is the block whose notches and lines are carried over; `levels` are the new ones.
 * Edges     notches without a place on the new seams are among `dropped`. Whether an outline meets itself is the truing
 *           report's to say.
 * Errors    PatternError OUTLINE_OPEN when a step left a neighbour behind.
 */
export function closeUp(
  before: Block,
  pieces: PiecePair,
  levels: Levels,
  { lengthMm }: AlterationTolerances,
): Outcome<ReNotched> {
  const lined = inOrder(pieces, [
    (pair) => onBoth(pair, (piece) => done(whole(before[piece.role], piece))),
    (pair) => onBoth(pair, (piece) => endBalanceLines(before[piece.role], piece, levels)),
  ]);
  if (lined.state === 'refused') return lined;
  const notched = reNotch(before, { ...lined.value, levels }, lengthMm);
  return notched.state === 'refused' ? notched : done(notched.value, [...lined.moved, ...notched.moved]);
}
