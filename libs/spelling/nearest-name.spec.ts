import { describe, expect, it } from '@jest/globals';
import { MEASURE_NAMES } from '#measurements';
import { nearestName } from './nearest-name.js';

describe('nearestName', () => {
  it.each([
    ['waistgirth', 'waistGirth'],
    ['hip_girth', 'hipGirth'],
    ['wasitGirth', 'waistGirth'],
    ['kneeHieght', 'kneeHeight'],
    ['hipgirt', 'hipGirth'],
    ['thigh', 'thighGirth'],
    ['statures', 'stature'],
  ])('takes %s for %s', (word, name) => {
    expect(nearestName(word, MEASURE_NAMES)).toBe(name);
  });

  it.each(['shoeSize', 'x', '', '__proto__', 'w'.repeat(10_000)])('guesses nothing for %s', (word) => {
    expect(nearestName(word, MEASURE_NAMES)).toBeUndefined();
  });
});
