import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { attemptsOf, exponentialRetry, retryDelayMs } from '#queue';

describe('exponentialRetry', () => {
  it('doubles up to the longest wait', () => {
    const policy = exponentialRetry({
      firstMs: 1_000,
      factor: 2,
      attempts: 6,
      longestMs: 5_000,
      jitterFraction: 0,
    });
    expect(policy.delaysMs).toEqual([1_000, 2_000, 4_000, 5_000, 5_000]);
    expect(attemptsOf(policy)).toBe(6);
  });
});

describe('retryDelayMs', () => {
  it('never shortens a wait, and lengthens it by the jitter at most', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 86_400_000 }), { minLength: 1, maxLength: 12 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true }),
        (delaysMs, jitterFraction, chance) => {
          delaysMs.forEach((delayMs, i) => {
            const waitMs = retryDelayMs({ delaysMs, jitterFraction }, i + 1, () => chance);
            expect(waitMs).toBeGreaterThanOrEqual(delayMs);
            expect(waitMs).toBeLessThanOrEqual(Math.round(delayMs * (1 + jitterFraction)));
          });
        },
      ),
    );
  });

  it('holds the last wait past the end of the list', () => {
    expect(retryDelayMs({ delaysMs: [5, 70], jitterFraction: 0 }, 9, () => 0)).toBe(70);
  });
});
