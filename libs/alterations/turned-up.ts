import { cornersOf, type Block } from '#pattern';
import { refused, type Refused } from './outcome.js';

/** A hem further below its level than this was turned up. */
const BELOW_LEVEL_MM = 1;

/** A leg that ends in a turn-up cannot be reshaped: the turn-up was drawn from the leg it lies on. */
export function refusedOnTurnUp({ front, levels }: Block): Refused | undefined {
  if (cornersOf(front).hemInseam.y >= levels.hem - BELOW_LEVEL_MM) return undefined;
  return refused({
    code: 'LEG_HAS_TURN_UP',
    message: 'The leg ends in a turn-up, which was drawn from the leg as it is.',
    action: 'Put the alteration of the leg before the turn-up.',
    place: { part: 'hem' },
  });
}
