import { describe, expect, it } from '@jest/globals';
import { readInstance } from './instance.js';
import { planMarker } from './plan-marker.js';
import type { Cloth, Corner, MarkerRequest } from './request.js';

const SQUARE: readonly Corner[] = [
  [0, 0],
  [10, 0],
  [10, 10],
  [0, 10],
];
const BOW_TIE: readonly Corner[] = [
  [0, 0],
  [10, 10],
  [10, 0],
  [0, 10],
];

describe('planMarker refuses, with the place and the way out,', () => {
  it.each<[string, MarkerRequest, string, string]>([
    ['a piece wider than the cloth', order({ width: 8 }), 'PIECE_TOO_WIDE', '/pieces/0/outline'],
    ['cloth of no width', order({ width: 0 }), 'CLOTH_WIDTH', '/cloth/width'],
    ['a width that is not a number', order({ width: Number.NaN }), 'CLOTH_WIDTH', '/cloth/width'],
    ['selvedges that meet', order({ width: 50, selvedge: 25 }), 'SELVEDGE_TOO_WIDE', '/cloth/selvedge'],
    ['a negative gap', order({ width: 50, gap: -1 }), 'CLOTH_NUMBER', '/cloth/gap'],
    ['folded cloth', order({ width: 50, layup: 'folded' }), 'LAYUP_NOT_LAID', '/cloth/layup'],
    ['tubular cloth', order({ width: 50, layup: 'tubular' }), 'LAYUP_NOT_LAID', '/cloth/layup'],
    ['a self-crossing outline', order({ width: 50 }, BOW_TIE), 'OUTLINE_CROSSES', '/pieces/0/outline/0'],
    [
      'an outline without area',
      order({ width: 50 }, [
        [0, 0],
        [5, 0],
        [9, 0],
      ]),
      'OUTLINE_CROSSES',
      '/pieces/0/outline/0',
    ],
    ['five thousand pieces', order({ width: 50 }, SQUARE, 5_000), 'TOO_MANY_PIECES', '/garments'],
    ['half a piece', order({ width: 50 }, SQUARE, 1.5), 'PIECE_COUNT', '/garments/0/pieces/0/plain'],
    ['nothing at all', order({ width: 50 }, SQUARE, 0), 'NOTHING_TO_LAY', '/garments'],
    ['a repeat that leaves no place', striped(), 'REPEAT_TOO_WIDE', '/pieces/0/match'],
  ])('%s', (_, request, code, pointer) => {
    const answer = planMarker(request);
    expect(answer.ok).toBe(false);
    if (answer.ok) return;
    expect(answer.problems).toContainEqual(expect.objectContaining({ code, pointer }));
    for (const { allowed, action } of answer.problems)
      expect(allowed.length * action.length).toBeGreaterThan(0);
  });

  it('all problems at once', () => {
    const answer = planMarker(order({ width: -1, gap: -1 }, BOW_TIE));
    expect(answer.ok ? [] : answer.problems.map((problem) => problem.code)).toEqual([
      'CLOTH_WIDTH',
      'CLOTH_NUMBER',
      'OUTLINE_CROSSES',
    ]);
  });
});

describe('readInstance', () => {
  it('names the field that is wrong', () => {
    const answer = readInstance({
      stripHeight: 5,
      pieces: [{ id: 0, count: 'two', turns: [0], outline: [[0]] }],
    });
    expect(answer.ok ? [] : answer.problems.map((problem) => problem.pointer)).toEqual([
      '/pieces/0/count',
      '/pieces/0/outline',
    ]);
  });
});

function order(cloth: Cloth, outline: readonly Corner[] = SQUARE, plain = 1): MarkerRequest {
  return {
    cloth,
    pieces: [{ id: 'a', outline, turns: [0] }],
    garments: [{ reference: 'x', pieces: [{ piece: 'a', plain }] }],
  };
}

/** The matched point of a 10 wide piece lies within 0..2 of 12 wide cloth, and the repeat comes every 50. */
function striped(): MarkerRequest {
  const request = order({ width: 12, repeatAcross: 50 });
  return { ...request, pieces: [{ ...request.pieces[0], match: [5, 5] }] };
}
