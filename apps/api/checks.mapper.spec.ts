import { describe, expect, it } from '@jest/globals';
import { toCheckResult } from './checks.mapper.js';

const RESULT = { sewable: true, judged: 'trouser', findings: [], pieces: [], corrections: [] };

describe('what was moved', () => {
  it('is told with its piece and what its length was, and nothing of it that a stored one lacks', () => {
    const seam = {
      operation: 'redraw seam',
      piece: 'front',
      part: 'inseam',
      byMm: 2.19,
      beforeMm: 700,
      afterMm: 702.19,
    };
    const ease = { operation: 'spread ease', part: 'inseam', byMm: 1.5 };
    const stored = {
      ...RESULT,
      moved: [
        { ...seam, from: { x: 0, y: 0 } },
        { ...ease, piece: null },
      ],
    };
    expect(toCheckResult(stored)?.moved).toEqual([seam, ease]);
  });
});
