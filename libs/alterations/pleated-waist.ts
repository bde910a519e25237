import { pleatsOf, type Block } from '#pattern';
import { refused, type Refused } from './outcome.js';

/** A waist whose pleats are folded cannot be redrawn: they were laid out on the waist as it is. */
export function refusedOnPleats({ front, back }: Block): Refused | undefined {
  if (pleatsOf(front).length === 0 && pleatsOf(back).length === 0) return undefined;
  return refused({
    code: 'WAIST_HAS_PLEATS',
    message: 'The waist has pleats, which were folded into it as it is.',
    action: 'Put the alteration of the waist before the pleats.',
    place: { part: 'waist' },
  });
}
