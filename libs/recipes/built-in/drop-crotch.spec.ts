import Flatten from '@flatten-js/core';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Wearer } from '#alterations';
import {
  angleBetween,
  distance,
  endDirection,
  opposite,
  startDirection,
  endOf,
  flattenRing,
  pointAt,
  type Curve,
  type Point,
} from '#geometry';
import {
  areaMm2,
  edgesOf,
  landmarksOf,
  outlineOf,
  seamLengthMm,
  type Block,
  type EdgeRole,
  type Piece,
} from '#pattern';
import { WORKED_BLOCK, WORKED_BLOCK_DROPPED } from '../../truing/worked-block.fixture.js';
import { builtInRecipe, runRecipe, type ParameterValues, type RecipeResult } from '../index.js';

const TOLERANCES = { lengthMm: 1e-4 };
const WEARER = { heelGirthMm: 310, calfGirthMm: 360, waistGirthMm: 740, pointer: '/alterations/0/with' };

const drop = (
  change: ParameterValues = {},
  block: Block = WORKED_BLOCK,
  wearer: Wearer = WEARER,
): RecipeResult => {
  const recipe = builtInRecipe('drop-crotch');
  if (recipe === undefined) throw new Error('the drop-crotch comes with the service');
  return runRecipe(recipe, { waist: 'leave', ...change }, block, wearer, TOLERANCES);
};

// Worked example, derived and measured independently with numpy and shapely; invented body.
describe('the worked example', () => {
  const { block } = drop();
  const { front, back, levels } = block;

  it('puts every control point where the independent derivation has it', () => {
    for (const role of ['front', 'back'] as const) {
      const expected = WORKED_BLOCK_DROPPED[role].edges;
      const found = block[role].edges;
      expect(found.map((edge) => edge.role)).toEqual(expected.map((edge) => edge.role));
      found.forEach((edge, i) => {
        pointsOf(edge.curve).forEach((p, k) =>
          expect(distance(p, pointsOf(expected[i].curve)[k])).toBeLessThan(0.01),
        );
      });
    }
  });

  it.each([
    ['front', 'rise', 496.435],
    ['back', 'rise', 555.656],
    ['front', 'inseam', 626.82],
    ['back', 'inseam', 626.82],
    ['front', 'outseam', 1015.065],
    ['back', 'outseam', 1015.065],
    ['front', 'hem', 160.2],
    ['back', 'hem', 170.2],
    ['front', 'waist', 188.033],
    ['back', 'waist', 184.551],
  ] as const)('gives the %s %s its length', (piece, role, lengthMm) => {
    expectWithin(seamLengthMm(block[piece], role, 1e-4), lengthMm, 0.01);
  });

  it('puts both forks at one place, with corners that sum to a straight line', () => {
    for (const piece of [front, back])
      expect(distance(landmarksOf(piece, levels).fork, { x: 272.2553, y: 600.5984 })).toBeLessThan(0.01);
    expectWithin(deg(cornerAngleRad(front, 'fork')), 91.353, 0.01);
    expectWithin(deg(cornerAngleRad(front, 'fork') + cornerAngleRad(back, 'fork')), 180, 1e-6);
    expectWithin(deg(cornerAngleRad(front, 'sideWaist') + cornerAngleRad(back, 'sideWaist')), 180, 0.01);
    expectWithin(deg(cornerAngleRad(front, 'centreWaist')), 90, 1e-6);
  });

  it('has the areas of the independent derivation', () => {
    expectWithin(areaMm2(front) / 100, 2754.82, 0.1);
    expectWithin(areaMm2(back) / 100, 2957.25, 0.1);
  });

  it('says that the waist has become too small, and by how much', () => {
    const findings = drop().findings;
    expect(findings).toContainEqual(expect.objectContaining({ code: 'WAIST_TOO_SMALL', level: 'stop' }));
    const short = findings.find(({ code }) => code === 'WAISTBAND_SHORTER');
    expectWithin(short?.numbers?.['shortMm'] ?? 0, 9.83, 0.01);
  });
});

describe('a restored waist', () => {
  const { block, findings } = drop({ waist: 'restore' });

  it('is as long as the block had it, with outseams still equal and corners still true', () => {
    const waist = (b: Block): number =>
      seamLengthMm(b.front, 'waist', 1e-4) + seamLengthMm(b.back, 'waist', 1e-4);
    expectWithin(waist(block), waist(WORKED_BLOCK), 0.01);
    expectWithin(seamLengthMm(block.front, 'outseam', 1e-4), seamLengthMm(block.back, 'outseam', 1e-4), 0.01);
    expectWithin(
      deg(cornerAngleRad(block.front, 'sideWaist') + cornerAngleRad(block.back, 'sideWaist')),
      180,
      0.01,
    );
    expect(findings.filter(({ level }) => level === 'stop')).toEqual([]);
  });
});

describe('guards', () => {
  it.each([
    ['a drop of 5 mm', { drop: 5 }, 'DROP_TOO_SMALL', '/alterations/0/with/drop'],
    ['a drop to the knee', { drop: { share: 1 } }, 'DROP_BELOW_KNEE', '/alterations/0/with/drop'],
    ['a crop of 450 mm', { crop: 450 }, 'CROP_TOO_SHORT', '/alterations/0/with/crop'],
    [
      'a deep drop on a cropped leg',
      { drop: { share: 0.9 }, crop: 350 },
      'INSEAM_TOO_SHORT',
      '/alterations/0/with/crop',
    ],
    [
      'a hem taken in by 140 mm',
      { hemIn: 140, hemOpening: 'open' },
      'HEM_WIDTH_TOO_SMALL',
      '/alterations/0/with/hemIn',
    ],
  ] as const)('refuse %s, with the field and what would work', (_, change, code, pointer) => {
    const result = drop(change);
    expect(result.refused).toBe(true);
    expect(result.block).toBe(WORKED_BLOCK);
    const finding = result.findings.find((candidate) => candidate.code === code);
    expect(finding).toMatchObject({ level: 'stop', pointer, allowed: expect.anything() });
  });

  it('let through the smallest and the largest drop they name', () => {
    const refusal = drop({ drop: 5 }).findings[0];
    const { min = 0, max = 0 } = refusal.allowed ?? {};
    for (const lengthMm of [min, max]) expect(drop({ drop: lengthMm }).refused).toBe(false);
    for (const lengthMm of [min - 0.2, max + 0.2]) expect(drop({ drop: lengthMm }).refused).toBe(true);
  });

  it('reduce the taper until the foot passes, and say so', () => {
    const result = drop({ hemIn: 60 });
    expect(result.findings).toContainEqual(expect.objectContaining({ code: 'HEM_TAPER_REDUCED' }));
    const hemMm =
      seamLengthMm(result.block.front, 'hem', 1e-4) + seamLengthMm(result.block.back, 'hem', 1e-4);
    expectWithin(hemMm, 320, 1e-3);
    expect(drop({ hemIn: 60, hemOpening: 'open' }).findings.map(({ code }) => code)).not.toContain(
      'HEM_TAPER_REDUCED',
    );
  });
});

describe('the findings of the drop-crotch', () => {
  const levelOf = (result: RecipeResult, code: string): string[] =>
    result.findings.filter((finding) => finding.code === code).map(({ level }) => level);

  it('tell a taper that is less than usual, and warn of one that is less than was asked beyond that', () => {
    const wearer = { ...WEARER, heelGirthMm: 330 };
    expect(levelOf(drop({}, WORKED_BLOCK, wearer), 'HEM_TAPER_REDUCED')).toEqual(['info']);
    expect(levelOf(drop({ hemIn: 19.1 }, WORKED_BLOCK, wearer), 'HEM_TAPER_REDUCED')).toEqual(['warning']);
    expect(levelOf(drop({ hemIn: 5 }, WORKED_BLOCK, wearer), 'HEM_TAPER_REDUCED')).toEqual([]);
  });

  it('say how far a foot was held against the hem: not at all, or by an estimate', () => {
    const codes = (wearer: Wearer, change: ParameterValues = {}): string[] =>
      drop(change, WORKED_BLOCK, wearer)
        .findings.map(({ code }) => code)
        .filter((code) => code.startsWith('HEM_FOOT'));
    expect(codes(WEARER)).toEqual([]);
    expect(codes({ ...WEARER, estimated: ['heelGirthMm'] })).toEqual(['HEM_FOOT_ESTIMATED']);
    expect(codes({ pointer: '' })).toEqual(['HEM_FOOT_NOT_CHECKED']);
    expect(codes({ ...WEARER, estimated: ['heelGirthMm'] }, { hemOpening: 'open' })).toEqual([]);
  });

  it('name a waist that a dart near the centre leaves no way to come square', () => {
    const dart = builtInRecipe('dart-moved');
    if (dart === undefined) throw new Error('dart-moved comes with the service');
    const near = [-60, -15].reduce<Block>(
      (block, by) => runRecipe(dart, { by }, block, WEARER, TOLERANCES).block,
      WORKED_BLOCK,
    );
    const { findings } = drop({}, near);
    const found = findings.filter(({ code }) => code === 'WAIST_NOT_SQUARE');
    expect(found).toMatchObject([{ level: 'warning', place: { piece: 'back', part: 'waist' } }]);
    expect(drop({}).findings.map(({ code }) => code)).not.toContain('WAIST_NOT_SQUARE');
  });
});

describe('true of every drop that is not refused', () => {
  const parameters: fc.Arbitrary<ParameterValues> = fc.record({
    drop: fc.double({ min: 0.1, max: 1, noNaN: true }).map((share) => ({ share })),
    frontRiseExtension: fc.double({ min: 0, max: 40, noNaN: true }),
    backRiseExtension: fc.double({ min: 0, max: 40, noNaN: true }),
    hemIn: fc.double({ min: 0, max: 60, noNaN: true }),
    crop: fc.oneof(fc.constant(0), fc.double({ min: -100, max: 400, noNaN: true })),
    waist: fc.constantFrom('restore', 'leave'),
    inseamTruing: fc.constantFrom('copy-front', 'keep-back'),
    hemOpening: fc.constantFrom('open', 'closed'),
  });
  // The block stretched and widened as other figures have it.
  const block = fc
    .record({
      wide: fc.double({ min: 0.85, max: 1.25, noNaN: true }),
      tall: fc.double({ min: 0.85, max: 1.15, noNaN: true }),
    })
    .map(({ wide, tall }) => stretched(WORKED_BLOCK, wide, tall));

  const check = (body: (result: RecipeResult, asked: ParameterValues, before: Block) => void): void =>
    fc.assert(
      fc.property(block, parameters, (before, asked) => {
        const result = drop(asked, before, { pointer: '' });
        if (!result.refused) body(result, asked, before);
      }),
      { numRuns: 150 },
    );

  it('leaves both outlines closed, simple and without an edge shorter than 1 mm', () => {
    check(({ block: { front, back } }) => {
      for (const piece of [front, back]) {
        piece.edges.forEach(({ curve }, i) => {
          const next = piece.edges[(i + 1) % piece.edges.length].curve;
          expect(endOf(curve)).toEqual(next.p0);
        });
        for (const { curve } of piece.edges) expect(chordsMm(curve)).toBeGreaterThan(0.999);
        expect(isSimple(piece)).toBe(true);
        expect(new Set(piece.edges.map(({ id }) => id)).size).toBe(piece.edges.length);
      }
    });
  });

  it('sews smooth under the fork, and seam to seam', () => {
    check(({ block: { front, back }, intendedStretchMm = 0, findings }) => {
      expectWithin(deg(cornerAngleRad(front, 'fork') + cornerAngleRad(back, 'fork')), 180, 1e-6);
      const of = (piece: Piece, role: 'inseam' | 'outseam'): number =>
        edgesOf(piece, role).reduce((sum, { curve }) => sum + chordsMm(curve), 0);
      expectWithin(of(front, 'outseam'), of(back, 'outseam'), 0.02);
      if (findings.some(({ code }) => code === 'INSEAM_NOT_MATCHED')) return;
      expectWithin(of(front, 'inseam'), of(back, 'inseam') + intendedStretchMm, 0.02);
    });
  });

  it('gives a waist that was to be restored its length', () => {
    check(({ block: after }, asked, before) => {
      if (asked['waist'] === 'leave') return;
      const of = (b: Block): number =>
        seamLengthMm(b.front, 'waist', 1e-3) + seamLengthMm(b.back, 'waist', 1e-3);
      expectWithin(of(after), of(before), 0.02);
    });
  });
});

function stretched(block: Block, wide: number, tall: number): Block {
  const move = (p: Point): Point => ({ x: p.x * wide, y: p.y * tall });
  const piece = (old: Piece): Piece => ({
    ...old,
    lines: [],
    notches: [],
    edges: old.edges.map((edge) => ({ ...edge, curve: mapped(edge.curve, move) })),
  });
  const { hip, crotch, knee, hem } = block.levels;
  const levels = { hip: hip * tall, crotch: crotch * tall, knee: knee * tall, hem: hem * tall };
  return { ...block, levels, front: piece(block.front), back: piece(block.back) };
}

function mapped(curve: Curve, move: (p: Point) => Point): Curve {
  return curve.kind === 'line'
    ? { kind: 'line', p0: move(curve.p0), p1: move(curve.p1) }
    : { kind: 'cubic', p0: move(curve.p0), p1: move(curve.p1), p2: move(curve.p2), p3: move(curve.p3) };
}

function pointsOf(curve: Curve): Point[] {
  return curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3];
}

function chordsMm(curve: Curve): number {
  let sum = 0;
  for (let i = 0; i < 300; i++) sum += distance(pointAt(curve, i / 300), pointAt(curve, (i + 1) / 300));
  return sum;
}

// Outside kernel: flatten-js judges the polygon.
function isSimple(piece: Piece): boolean {
  const polygon = new Flatten.Polygon(flattenRing(outlineOf(piece), 0.2).map((p) => Flatten.point(p.x, p.y)));
  return polygon.isValid();
}

const deg = (rad: number): number => (rad * 180) / Math.PI;

function expectWithin(actual: number, expected: number, tolerance: number): void {
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(tolerance);
}

/** Corners of a piece where two seams end together. */
const SEAMS_AT = {
  fork: ['rise', 'inseam'],
  sideWaist: ['outseam', 'waist'],
  centreWaist: ['waist', 'rise'],
} as const satisfies Record<string, readonly [ends: EdgeRole, starts: EdgeRole]>;

/** The angle between the two seams of a corner inside the piece, for a corner that points outwards. */
function cornerAngleRad(piece: Piece, corner: keyof typeof SEAMS_AT): number {
  const [ends, starts] = SEAMS_AT[corner];
  const ending = edgesOf(piece, ends);
  const [starting] = edgesOf(piece, starts);
  return angleBetween(
    opposite(endDirection(ending[ending.length - 1].curve)),
    startDirection(starting.curve),
  );
}
