import { describe, expect, it } from '@jest/globals';
import { certify } from './certificate.js';
import type { MarkerRequest, Placement } from './request.js';

const OPTIONS = { repeatTolerance: 0.01, faultsMax: 20 };

/** An L and a triangle: the triangle fits the notch of the L with room to spare. */
const REQUEST: MarkerRequest = {
  cloth: { width: 100, selvedge: 5, endMargin: 2, gap: 1 },
  pieces: [
    {
      id: 'L',
      outline: [
        [0, 0],
        [60, 0],
        [60, 20],
        [20, 20],
        [20, 60],
        [0, 60],
      ],
      turns: [0, 180],
    },
    {
      id: 'T',
      outline: [
        [0, 0],
        [30, 0],
        [0, 30],
      ],
      turns: [0],
    },
  ],
  garments: [
    {
      reference: 'one',
      pieces: [
        { piece: 'L', plain: 1 },
        { piece: 'T', plain: 1, mirrored: 1 },
      ],
    },
  ],
};

const L: Placement = { piece: 'L', garment: 0, turn: 0, mirrored: false, x: 2, y: 5 };
const T: Placement = { piece: 'T', garment: 0, turn: 0, mirrored: false, x: 23, y: 26 };
const MIRRORED: Placement = { piece: 'T', garment: 0, turn: 0, mirrored: true, x: 95, y: 40 };
const SOUND = [L, T, MIRRORED];

describe('certify', () => {
  it('passes a sound layout', () => {
    expect(faultsOf(SOUND)).toEqual([]);
  });

  it.each([
    ['an overlap', [L, { ...T, x: 21.5, y: 24 }, MIRRORED], 'OVERLAP'],
    ['a piece wholly inside another', [L, { ...T, x: 2, y: 5 }, MIRRORED], 'OVERLAP'],
    ['two pieces on the same place', [L, T, { ...MIRRORED, x: 53, y: 26 }], 'OVERLAP'],
    ['a touch along a side', [L, { ...T, x: 22 }, MIRRORED], 'OVERLAP'],
    ['a gap short by a hair', [L, { ...T, x: 23 - 1e-12 }, MIRRORED], 'GAP'],
    ['a piece in the selvedge by a hair', [{ ...L, y: 5 - 1e-12 }, T, MIRRORED], 'OUTSIDE'],
    ['a piece in the end margin', [{ ...L, x: 1.999 }, T, MIRRORED], 'OUTSIDE'],
    ['a piece past the end', [L, T, { ...MIRRORED, x: 98.5 }], 'OUTSIDE'],
    ['a turn the grain does not allow', [L, { ...T, turn: 180, x: 60, y: 60 }, MIRRORED], 'TURN'],
    ['a missing piece', [L, T], 'DEMAND'],
    ['a piece too many', [L, T, MIRRORED, { ...T, x: 70, y: 60 }], 'DEMAND'],
    [
      'a left piece in place of a right one',
      [L, T, { ...MIRRORED, mirrored: false, x: 60, y: 60 }],
      'DEMAND',
    ],
  ])('catches %s', (_, placements, code) => {
    expect(faultsOf(placements).map((fault) => fault.code)).toContain(code);
  });

  it('catches a garment laid against its nap', () => {
    const turned: Placement = { ...L, turn: 180, x: 90, y: 90 };
    const oneWay = { ...REQUEST, cloth: { ...REQUEST.cloth, nap: 'one-way' as const } };
    // The mirror image without a half turn runs against the nap as well: its grain points to -x.
    expect(
      certify(oneWay, 100, [turned, T, MIRRORED], OPTIONS).map((fault) => [fault.code, fault.placements]),
    ).toEqual([
      ['NAP', [0]],
      ['NAP', [2]],
    ]);
  });

  it('catches a matched point off the repeat', () => {
    const pieces = REQUEST.pieces.map((piece) => ({ ...piece, match: [1, 1] as const }));
    const striped = { ...REQUEST, pieces, cloth: { ...REQUEST.cloth, repeatAlong: 7 } };
    // x of the matched points: 3, 24 and 94 (mirrored: 95 - 1), all on the repeat of 7; 1.5 further is not.
    expect(certify(striped, 100, SOUND, OPTIONS)).toEqual([]);
    const off = [L, T, { ...MIRRORED, x: 96.5 }];
    expect(certify(striped, 100, off, OPTIONS)).toMatchObject([{ code: 'REPEAT', placements: [2] }]);
  });
});

function faultsOf(placements: readonly Placement[]): { code: string }[] {
  return certify(REQUEST, 100, placements, OPTIONS);
}
