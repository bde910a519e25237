import { area, FillRule, intersect, type Path64 } from 'clipper2-ts';
import { describe, expect, it } from '@jest/globals';
import type { CutPiece } from '#finishing';
import type { Point } from '#geometry';
import { garmentsToLay } from '../../test/support/garments-to-lay.js';
import {
  bestLaid,
  comparisonOf,
  isCertified,
  laidFile,
  Laying,
  markersToWrite,
  planLaying,
  readEarlierMarkers,
  requestOf,
  type ClothToCut,
  type GarmentToLay,
  type LaidOrder,
  type LayingPlan,
} from './index.js';
import { namedPieces, type NamedPiece } from './marker-to-write.js';

const WOOL: ClothToCut = {
  name: 'wool',
  use: 'shell',
  widthMm: 1500,
  selvedgeMm: 10,
  endMarginMm: 20,
  gapMm: 3,
};
const FUSIBLE: ClothToCut = { name: 'fusible', use: 'fusible', widthMm: 900 };
const POCKETING: ClothToCut = { name: 'pocketing', use: 'pocketing', widthMm: 1400, gapMm: 2 };
const CLOTHS = [WOOL, FUSIBLE, POCKETING];
const FOUR = garmentsToLay(4);
/** Moves a piece: enough to be worth looking at, a second or two for four trousers. */
const FEW = 6;

describe('planLaying', () => {
  it('puts every piece on each cloth of its use', () => {
    const { cloths, findings } = planOf(FOUR.slice(0, 1), CLOTHS);
    const on = (name: string): string[] =>
      [...(cloths.find(({ cloth }) => cloth.name === name)?.cutPieces.values() ?? [])].map(({ id }) => id);
    for (const [name, use] of [
      ['wool', 'shell'],
      ['fusible', 'fusible'],
      ['pocketing', 'pocketing'],
    ] as const)
      expect(on(name)).toEqual(FOUR[0].pieces.filter(({ cloth }) => cloth.includes(use)).map(({ id }) => id));
    expect(findings).toEqual([]);
  });

  it('groups garments by the cloth they name', () => {
    const garments = FOUR.map((garment, i) => ({
      ...garment,
      cloths: { shell: i % 2 === 0 ? 'wool' : 'linen' },
    }));
    const { cloths } = planOf(garments, [WOOL, { ...WOOL, name: 'linen' }, FUSIBLE, POCKETING]);
    expect(cloths.map(({ cloth, ofOrder }) => [cloth.name, ofOrder])).toEqual([
      ['wool', [0, 2]],
      ['linen', [1, 3]],
      ['fusible', [0, 1, 2, 3]],
      ['pocketing', [0, 1, 2, 3]],
    ]);
  });

  it('tells of pieces that no cloth is there for, and of cloth that nothing is cut from', () => {
    const { findings } = planOf(
      FOUR.slice(0, 2).map((garment) => ({ ...garment, cloths: { shell: 'wool' } })),
      [WOOL, { ...WOOL, name: 'linen' }, POCKETING],
    );
    expect(findings.map(({ code }) => code)).toEqual(['CLOTH_NOT_NEEDED', 'NO_CLOTH_FOR_USE']);
  });

  it.each<[string, readonly GarmentToLay[], readonly ClothToCut[], string, string]>([
    ['tubular cloth', FOUR, [{ ...WOOL, layup: 'tubular' }], 'LAYUP_NOT_LAID', '/cloths/0/layup'],
    ['folded cloth', FOUR, [{ ...WOOL, layup: 'folded' }], 'LAYUP_NOT_LAID', '/cloths/0/layup'],
    [
      'narrow cloth',
      FOUR.slice(0, 1),
      [{ ...WOOL, widthMm: 300 }],
      'PIECE_TOO_WIDE',
      '/garments/0/pieces/front',
    ],
    ['cloth without width', FOUR, [{ ...WOOL, widthMm: 0 }], 'CLOTH_WIDTH', '/cloths/0/widthMm'],
    ['a negative gap', FOUR, [{ ...WOOL, gapMm: -1 }], 'CLOTH_NUMBER', '/cloths/0/gapMm'],
    [
      'two cloths to choose from',
      FOUR.slice(0, 1),
      [WOOL, { ...WOOL, name: 'x' }],
      'CLOTH_NOT_NAMED',
      '/garments/0/cloths/shell',
    ],
    ['one reference twice', [FOUR[0], FOUR[0]], [WOOL], 'NAME_TWICE', '/garments/1/reference'],
    [
      'a roll of no length',
      FOUR,
      [{ ...WOOL, rolls: [{ name: 'a', lengthMm: 0 }] }],
      'CLOTH_LENGTH',
      '/cloths/0/rolls/0/lengthMm',
    ],
    ['no garment', [], [WOOL], 'NOTHING_TO_LAY', '/garments'],
    [
      'no turn along the nap',
      FOUR,
      [{ ...WOOL, nap: 'one-way', turnsDegrees: [0] }],
      'NAP_FORBIDS',
      '/cloths/0/turnsDegrees',
    ],
  ])('refuses %s with the place and what to do', (_, garments, cloths, code, pointer) => {
    const answer = planLaying({ reference: 'x', garments, cloths });
    expect(answer.ok ? [] : answer.problems).toContainEqual(expect.objectContaining({ code, pointer }));
  });
});

describe('Laying', () => {
  it('has certified markers of everything before the first step', () => {
    const plan = planOf(FOUR, CLOTHS);
    const { markers, left } = new Laying(plan, { seed: 1, chain: 0 }).best();
    expect(left).toEqual([]);
    expect(markers.map(({ garments }) => garments)).toEqual([0, 1, 2].map(() => [0, 1, 2, 3]));
  });

  it('gives the same markers for the same work, however often it is asked on the way', () => {
    const plan = planOf(FOUR.slice(0, 2), CLOTHS);
    const once = new Laying(plan, { seed: 4, chain: 0 }).layTo(FEW);
    const asked = new Laying(plan, { seed: 4, chain: 0 });
    for (let i = 0; i < 20; i++) {
      asked.step();
      asked.best();
    }
    expect(asked.layTo(FEW)).toEqual(once);
    expect(new Laying(plan, { seed: 5, chain: 0 }).layTo(FEW)).not.toEqual(once);
  });

  it.each(['free', 'per-garment', 'one-way'] as const)(
    'keeps the true cut lines apart, on the cloth and along the nap: %s',
    (nap) => {
      const plan = planOf(FOUR.slice(0, 2), [{ ...WOOL, nap }]);
      const laid = new Laying(plan, { seed: 2, chain: 0 }).layTo(FEW);
      const [one] = markersToWrite(plan, laid);
      const pieces = namedPieces(one);
      expect(sharedAreaMm2(pieces)).toBe(0);
      for (const { onCloth } of pieces) {
        for (const { at } of onCloth.cut) {
          expect(at.y).toBeGreaterThanOrEqual(10 - 1e-9);
          expect(at.y).toBeLessThanOrEqual(1490 + 1e-9);
          expect(at.x).toBeGreaterThanOrEqual(20 - 1e-9);
          expect(at.x).toBeLessThanOrEqual(laid.markers[0].marker.figures.length - 20 + 1e-9);
        }
        expect(Math.abs(onCloth.grain[1].y - onCloth.grain[0].y)).toBeLessThan(1e-9);
      }
      const waysOf = (g: number): Set<number> =>
        new Set(
          pieces.filter(({ placement }) => placement.garment === g).map(({ onCloth }) => wayOf(onCloth)),
        );
      if (nap === 'one-way') expect([waysOf(0), waysOf(1)]).toEqual([new Set([1]), new Set([1])]);
      if (nap === 'per-garment') expect([waysOf(0).size, waysOf(1).size]).toEqual([1, 1]);
    },
  );

  it('calls the pieces of a pair left and right, and they are mirror images', () => {
    const plan = planOf(FOUR.slice(0, 1), [WOOL]);
    const [one] = markersToWrite(plan, new Laying(plan, { seed: 1, chain: 0 }).best());
    const pieces = namedPieces(one);
    expect(pieces.map(({ name }) => name)).toEqual(
      expect.arrayContaining(['Front R', 'Front L', 'Back R', 'Back L', 'Waistband']),
    );
    // With the waist up and the inseam at the right a front is the wearer's right; seen so, its fork is on the right.
    expect(forkSide(pieces, 'Front R')).toBe('right');
    expect(forkSide(pieces, 'Front L')).toBe('left');
    expect(forkSide(pieces, 'Back L')).toBe('right');
    expect(forkSide(pieces, 'Back R')).toBe('left');
  });

  it('puts whole garments on rolls, and counts what remains of each', () => {
    // By its boxes one of these trousers takes 1.9 m, laid well 1.3 m.
    const rolls = [
      { name: 'a', lengthMm: 3_200 },
      { name: 'b', lengthMm: 1_000 },
      { name: 'c', lengthMm: 1_700 },
    ];
    const plan = planOf(FOUR, [{ ...WOOL, rolls, endAllowanceMm: 30 }]);
    const laid = new Laying(plan, { seed: 1, chain: 0 }).layTo(1);
    expectWhole(plan, laid);
    expect(laid.markers.length).toBeGreaterThanOrEqual(1);
    expect(laid.left.length).toBeGreaterThanOrEqual(1);
    laid.remnants.forEach(({ roll, lengthMm }) => {
      const used = laid.markers
        .filter((marker) => marker.roll === roll)
        .reduce((sum, { marker }) => sum + marker.figures.length + 30, 0);
      expect(lengthMm).toBeCloseTo(rolls[roll].lengthMm - used, 9);
      expect(lengthMm).toBeGreaterThanOrEqual(0);
    });
    expect(laid.markers.every(({ marker }) => marker.fits)).toBe(true);
  });

  it('lays several markers where the table is short', () => {
    const plan = planOf(FOUR.slice(0, 3), [{ ...WOOL, markerLengthMaxMm: 2_150 }]);
    const laid = new Laying(plan, { seed: 1, chain: 0 }).layTo(1);
    expectWhole(plan, laid);
    expect(laid.left).toEqual([]);
    expect(laid.markers.length).toBeGreaterThanOrEqual(2);
    for (const { marker } of laid.markers) expect(marker.figures.length).toBeLessThanOrEqual(2_150);
  });

  it('answers with nothing laid when no garment fits, and does not search for ever', () => {
    const plan = planOf(FOUR, [{ ...WOOL, rolls: [{ name: 'rest', lengthMm: 700 }] }]);
    const laid = new Laying(plan, { seed: 1, chain: 0 }).layTo(5);
    expect(laid).toMatchObject({ markers: [], remnants: [{ lengthMm: 700 }] });
    expect(laid.left).toHaveLength(4);
  });

  it('lets front and back of a garment meet at the stripes', () => {
    const plan = planOf(FOUR.slice(0, 2), [
      { ...WOOL, repeatAlongMm: 60, repeatAcrossMm: 45, nap: 'one-way' },
    ]);
    expect(plan.findings.map(({ code }) => code)).toEqual(
      ['LAID_OFF_THE_REPEAT', 'NO_CLOTH_FOR_USE', 'NO_CLOTH_FOR_USE'].reverse(),
    );
    const laid = new Laying(plan, { seed: 1, chain: 0 }).layTo(FEW);
    for (const { placement, name } of namedPieces(markersToWrite(plan, laid)[0])) {
      if (!/^(Front|Back)/.test(name)) continue;
      // The matched point is the origin of the piece, which no turn moves.
      expect(Math.abs(placement.x / 60 - Math.round(placement.x / 60))).toBeLessThan(0.01 / 60);
      expect(Math.abs(placement.y / 45 - Math.round(placement.y / 45))).toBeLessThan(0.01 / 45);
    }
  });

  it('begins from markers laid before, where their garments are laid together again', () => {
    const plan = planOf(FOUR, [WOOL]);
    const before = new Laying(plan, { seed: 1, chain: 0 }).layTo(20);
    const file = JSON.parse(JSON.stringify(laidFile(plan, before, { engine: 'test' }, []))) as unknown;
    const earlier = readEarlierMarkers(file);
    // The same garments in another order, and one more: pieces are known by garment and name, not by number.
    const again = planOf([...FOUR].reverse(), [WOOL]);
    const [was] = before.markers;
    const { markers } = new Laying(again, { seed: 2, chain: 0, earlier }).best();
    expect(markers[0].marker.figures.length).toBe(was.marker.figures.length);
    const more = planOf(garmentsToLay(5), [WOOL]);
    const laid = new Laying(more, { seed: 2, chain: 0, earlier }).layTo(FEW);
    expectWhole(more, laid);
    expect(laid.refused).toEqual([]);
  });

  it.each([undefined, 7, [], {}, { markers: 3 }, { markers: [{ cloth: 'wool', placements: [{}, null] }] }])(
    'reads no places out of %j',
    (json) => {
      expect(readEarlierMarkers(json).flatMap(({ places }) => places)).toEqual([]);
    },
  );

  it('compares with the marker the shop laid before', () => {
    const plan = planOf(FOUR.slice(0, 1), [
      { ...WOOL, pricePerMetre: 20, previous: { lengthMm: 6_000, garments: 3 } },
    ]);
    const laid = new Laying(plan, { seed: 1, chain: 0 }).best();
    const { length } = laid.markers[0].marker.figures;
    expect(comparisonOf(plan, laid.markers[0])?.savedCost).toBeCloseTo(((2_000 - length) * 20) / 1000, 9);
  });
});

describe('isCertified', () => {
  it('takes nothing on trust that was laid elsewhere', () => {
    const plan = planOf(FOUR, [WOOL]);
    const laid = new Laying(plan, { seed: 1, chain: 0 }).layTo(FEW);
    const [one] = laid.markers;
    const withMarker = (marker: object) => ({
      ...laid,
      markers: [{ ...one, marker: { ...one.marker, ...marker } }],
    });
    const { placements, figures } = one.marker;
    const [first] = placements;
    expect(isCertified(plan, JSON.parse(JSON.stringify(laid)) as LaidOrder)).toBe(true);
    expect(
      isCertified(plan, withMarker({ placements: placements.with(0, { ...first, x: first.x + 60 }) })),
    ).toBe(false);
    expect(isCertified(plan, withMarker({ placements: placements.slice(1) }))).toBe(false);
    expect(isCertified(plan, withMarker({ figures: { ...figures, length: figures.length - 1 } }))).toBe(
      false,
    );
    expect(isCertified(plan, { ...laid, markers: [] })).toBe(false);
    expect(isCertified(plan, { ...laid, markers: [one, one] })).toBe(false);
  });
});

describe('bestLaid', () => {
  it('keeps the shorter marker of each cloth, whichever chain reports first', () => {
    const plan = planOf(FOUR.slice(0, 1), CLOTHS);
    const chains = [0, 1].map((chain) => new Laying(plan, { seed: 1, chain }).layTo(FEW));
    const best = bestLaid(plan, chains) as LaidOrder;
    expect(bestLaid(plan, [...chains].reverse())).toEqual(best);
    best.markers.forEach(({ marker }, i) => {
      const lengths = chains.map(({ markers }) => markers[i].marker.figures.length);
      expect(marker.figures.length).toBe(Math.min(...lengths));
    });
  });
});

function planOf(garments: readonly GarmentToLay[], cloths: readonly ClothToCut[]): LayingPlan {
  const answer = planLaying({ reference: 'lay', garments, cloths });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  return answer.plan;
}

/** Every garment on one marker or left over, whole, on every cloth. */
function expectWhole(plan: LayingPlan, { markers, left }: LaidOrder): void {
  plan.cloths.forEach(({ garments }, c) => {
    const laid = markers.filter(({ cloth }) => cloth === c).flatMap((marker) => marker.garments);
    const over = left.filter(({ cloth }) => cloth === c).map(({ garment }) => garment);
    expect([...laid, ...over].sort((a, b) => a - b)).toEqual(garments.map((_, i) => i));
  });
  for (const laid of markers) {
    const wanted = requestOf(plan, laid).garments.flatMap(({ pieces }) => pieces);
    const count = wanted.reduce((sum, { plain, mirrored = 0 }) => sum + plain + mirrored, 0);
    expect(laid.marker.placements).toHaveLength(count);
  }
}

function wayOf({ grain: [from, to] }: CutPiece): number {
  return Math.sign(to.x - from.x);
}

/** Overlap of the cut lines themselves by the boolean kernel Clipper2, on a grid of a ten-thousandth of a millimetre. */
function sharedAreaMm2(pieces: readonly NamedPiece[]): number {
  const paths = pieces.map(({ onCloth }): Path64 =>
    onCloth.cut.map(({ at }) => ({ x: Math.round(at.x * 1e4), y: Math.round(at.y * 1e4) })),
  );
  let shared = 0;
  paths.forEach((a, i) => {
    for (const b of paths.slice(i + 1))
      shared += Math.abs(intersect([a], [b], FillRule.NonZero).reduce((sum, path) => sum + area(path), 0));
  });
  return shared / 1e8;
}

/** On which side of the grain, its arrow up, the corner farthest from it lies: the fork. */
function forkSide(pieces: readonly NamedPiece[], name: string): 'left' | 'right' {
  const { onCloth } = pieces.find((piece) => piece.name === name) as NamedPiece;
  const [from, to] = onCloth.grain;
  const across = ({ x, y }: Point): number => (to.x - from.x) * (y - from.y) - (to.y - from.y) * (x - from.x);
  const farthest = onCloth.cut.reduce(
    (most, { at }) => (Math.abs(across(at)) > Math.abs(most) ? across(at) : most),
    0,
  );
  return farthest > 0 ? 'left' : 'right';
}
