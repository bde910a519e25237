import { cornersOf, pleatsOf, type AddedPiece, type Block } from '#pattern';
import { refused, type Refused } from './outcome.js';

/*
 * What was drawn on a seam or measured from it as it is, and would no longer fit if the seam were redrawn afterwards.
 * Refused with the reason, so that the order of two alterations is the shop's to mend and not ours to guess.
 */

/** A hem further below its level than this was turned up. */
const BELOW_LEVEL_MM = 1;

/** A leg that ends in a turn-up or a cuff cannot be reshaped. */
export function refusedOnHem(block: Block): Refused | undefined {
  if (cornersOf(block.front).hemInseam.y < block.levels.hem - BELOW_LEVEL_MM) {
    return refused({
      code: 'LEG_HAS_TURN_UP',
      message: 'The leg ends in a turn-up, which was drawn from the leg as it is.',
      action: 'Put the alteration of the leg before the turn-up.',
      place: { part: 'hem' },
    });
  }
  const cuff = addedTo(block, 'hem');
  if (cuff === undefined) return undefined;
  return refused({
    code: 'HEM_HAS_PIECE',
    message: `${cuff.name} was measured from the hem as it is.`,
    action: `Put the alteration of the leg before the one that adds the ${cuff.name.toLowerCase()}.`,
    place: { part: 'hem' },
  });
}

/** A waist with pleats or a casing cannot be redrawn. */
export function refusedOnWaist(block: Block): Refused | undefined {
  if (pleatsOf(block.front).length > 0 || pleatsOf(block.back).length > 0) {
    return refused({
      code: 'WAIST_HAS_PLEATS',
      message: 'The waist has pleats, which were folded into it as it is.',
      action: 'Put the alteration of the waist before the pleats.',
      place: { part: 'waist' },
    });
  }
  const casing = addedTo(block, 'waist');
  if (casing === undefined) return undefined;
  return refused({
    code: 'WAIST_HAS_PIECE',
    message: `${casing.name} was measured from the waist as it is.`,
    action: `Put the alteration of the waist before the one that adds the ${casing.name.toLowerCase()}.`,
    place: { part: 'waist' },
  });
}

/** An inseam that stays open for a gusset cannot be redrawn. */
export function refusedOnInseam(block: Block): Refused | undefined {
  const gusset = addedTo(block, 'fork');
  if (gusset === undefined) return undefined;
  return refused({
    code: 'FORK_HAS_PIECE',
    message: `${gusset.name} was measured from the inseams as they are.`,
    action: `Put the alteration of the inseam before the one that adds the ${gusset.name.toLowerCase()}.`,
    place: { part: 'inseam' },
  });
}

function addedTo({ added }: Block, part: AddedPiece['sewnTo']): AddedPiece | undefined {
  return added?.find(({ sewnTo }) => sewnTo === part);
}
