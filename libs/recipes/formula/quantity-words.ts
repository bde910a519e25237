import type { Quantity } from './formula.js';

const WORDS: Readonly<Record<Quantity | 'zero' | 'unknown', string>> = {
  length: 'a length',
  angle: 'an angle',
  ratio: 'a plain number',
  area: 'an area',
  'yes-no': 'a condition',
  word: 'a word',
  zero: 'zero',
  unknown: 'something unknown',
};

/** A kind of amount as a sentence says it. */
export function quantityInWords(quantity: Quantity | 'zero' | 'unknown'): string {
  return WORDS[quantity];
}
