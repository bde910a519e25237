import { describe, expect, it } from '@jest/globals';
import { add, at, line, mapCurve, reversed, type Curve, type Point } from '#geometry';
import { HANDBOOK_BLOCK_SIZE_12 } from '../../test/fixtures/handbook-block-size-12.js';
import {
  BLOCK_TOLERANCES,
  checkBlock,
  edgeById,
  withEdge,
  type Block,
  type Edge,
  type EdgeRole,
  type Finding,
  type Levels,
  type Piece,
} from './index.js';

/** The handbook block as it is drawn: its inseams differ by 1.6 mm, and nothing else is wrong with it. */
const block = HANDBOOK_BLOCK_SIZE_12;
const KNOWN = 'BLOCK_SEAM_PAIR';

describe('checkBlock', () => {
  it('finds in the handbook block what a tape finds: a back inseam 1.6 mm short', () => {
    const [finding, ...others] = checkBlock(block, BLOCK_TOLERANCES);
    expect(others).toEqual([]);
    expect(finding).toMatchObject({
      code: 'BLOCK_SEAM_PAIR',
      level: 'warning',
      place: { piece: 'back', part: 'inseam' },
      numbers: { differenceMm: expect.closeTo(-1.637, 3) },
    });
  });

  describe('of the outline', () => {
    it('measures a gap and says where it is', () => {
      const opened = changed('front', 'hem-1', (curve) => line(add(curve.p0, at(0.4, 0.3)), end(curve)));
      const finding = only(opened, 'BLOCK_OUTLINE_OPEN');
      expect(finding).toMatchObject({ level: 'stop', numbers: { gapMm: expect.closeTo(0.5, 9) } });
      expect(finding.place?.at).toEqual(end(edgeById(block.front, 'inseam-2').curve));
    });

    it('says where an outline crosses itself', () => {
      // The hem end carried across the outseam: hem and outseam cross where the old hem corner was not.
      const corner = at(140, 0);
      const moved = changed('front', 'hem-1', (curve) => line(curve.p0, corner));
      const crossed = changedIn(moved, 'front', 'outseam-1', (curve) => line(corner, end(curve)));
      const codes = newCodes(crossed);
      expect(codes).toContain('BLOCK_OUTLINE_CROSSES');
      const finding = checkBlock(crossed, BLOCK_TOLERANCES).find(
        ({ code }) => code === 'BLOCK_OUTLINE_CROSSES',
      );
      // Inseam x = 105 + 13 y / 430 against the line from (140, 0) to (-118, 430).
      const y = 35 / (13 / 430 + 258 / 430);
      expect(finding?.place?.at).toEqual({
        x: expect.closeTo(105 + (13 * y) / 430, 6),
        y: expect.closeTo(y, 6),
      });
    });

    it('says that an outline runs the wrong way round', () => {
      const edges = [...block.back.edges].reverse().map((edge) => ({ ...edge, curve: reversed(edge.curve) }));
      expect(newCodes({ ...block, back: { ...block.back, edges } })).toContain('BLOCK_OUTLINE_REVERSED');
    });

    it('names an edge that is too short, and one without length', () => {
      const hem = edgeById(block.front, 'hem-1');
      const [a, b, c] = [hem.curve.p0, add(hem.curve.p0, at(-0.5, 0)), end(hem.curve)];
      const cut = (points: readonly Point[]): Block => ({
        ...block,
        front: withEdge(
          block.front,
          'hem-1',
          points.slice(1).map((p, i) => ({ ...hem, id: `hem-${i + 1}`, curve: line(points[i], p) })),
        ),
      });
      expect(only(cut([a, b, c]), 'BLOCK_EDGE_SHORT').numbers).toEqual({ lengthMm: expect.closeTo(0.5, 9) });
      expect(only(cut([a, a, c]), 'BLOCK_POINT_DOUBLED').place?.at).toEqual(a);
    });
  });

  describe('of the roles', () => {
    it.each(['rise', 'inseam', 'hem', 'outseam', 'waist'] as const)('misses a %s', (role) => {
      const renamed = withRole(block.front, (edge) => (edge.role === role ? 'dart' : edge.role));
      const codes = newCodes({ ...block, front: renamed });
      expect(codes).toContain('BLOCK_ROLE_MISSING');
    });

    it('says which seam is not one run, and where it starts again', () => {
      const mixed = withRole(block.back, (edge) => (edge.id === 'outseam-2' ? 'inseam' : edge.role));
      const findings = checkBlock({ ...block, back: mixed }, BLOCK_TOLERANCES);
      const split = findings.filter(({ code }) => code === 'BLOCK_ROLE_SPLIT');
      expect(split.map(({ place }) => place?.part)).toEqual(['inseam', 'outseam']);
      expect(split[0].place?.at).toEqual(edgeById(block.back, 'outseam-2').curve.p0);
    });

    it('says that roles run in another order', () => {
      const swapped = withRole(block.front, ({ role }) =>
        role === 'inseam' ? 'outseam' : role === 'outseam' ? 'inseam' : role,
      );
      expect(newCodes({ ...block, front: swapped })).toContain('BLOCK_ROLE_ORDER');
      const late = [...block.front.edges.slice(1), block.front.edges[0]];
      expect(newCodes({ ...block, front: { ...block.front, edges: late } })).toContain('BLOCK_ROLE_SPLIT');
    });

    it('refuses a dart outside the waist', () => {
      const within = withRole(block.front, (edge) => (edge.id === 'outseam-2' ? 'dart' : edge.role));
      expect(newCodes({ ...block, front: within })).toContain('BLOCK_DART_PLACE');
      const strayed = withRole(block.front, (edge) => (edge.id === 'hem-1' ? 'dart' : edge.role));
      expect(newCodes({ ...block, front: strayed })).toEqual(
        expect.arrayContaining(['BLOCK_DART_PLACE', 'BLOCK_ROLE_MISSING']),
      );
    });
  });

  describe('of the darts', () => {
    it('misses the partner of a leg', () => {
      const odd = withRole(block.front, (edge) => (edge.id === 'dart-2' ? 'waist' : edge.role));
      expect(newCodes({ ...block, front: odd })).toEqual(['BLOCK_DART_LEGS_ODD']);
    });

    it('says by how much the legs differ, side leg minus centre leg', () => {
      const lengthened = withEdge(block.front, 'dart-1', [
        { ...edgeById(block.front, 'dart-1'), curve: line(at(-10, 1040), at(0, 941)) },
      ]);
      const both = withEdge(lengthened, 'dart-2', [
        { ...edgeById(block.front, 'dart-2'), curve: line(at(0, 941), at(10, 1038)) },
      ]);
      const waist = edgeById(both, 'waist-2');
      const closed = withEdge(both, 'waist-2', [{ ...waist, curve: line(at(10, 1038), end(waist.curve)) }]);
      const difference = Math.hypot(10, 99) - Math.hypot(10, 97);
      expect(only({ ...block, front: closed }, 'BLOCK_DART_LEGS_UNEQUAL').numbers).toMatchObject({
        differenceMm: expect.closeTo(difference, 6),
      });
    });

    it('finds a point outside the piece', () => {
      const up = (curve: Curve): Curve => mapCurve(curve, (p) => (p.y === 940 ? at(p.x, 1140) : p));
      const poked = changedIn(changed('front', 'dart-1', up), 'front', 'dart-2', up);
      expect(newCodes(poked)).toContain('BLOCK_DART_OUTSIDE');
    });
  });

  describe('of levels and frame', () => {
    it.each([
      [
        'knee above the crotch',
        { knee: 800 },
        ['BLOCK_LEVELS_ORDER', 'BLOCK_LEVEL_MISSED', 'BLOCK_LEVEL_MISSED'],
      ],
      [
        'hip above the waist',
        { hip: 1100 },
        ['BLOCK_LEVELS_ORDER', 'BLOCK_LEVEL_MISSED', 'BLOCK_LEVEL_MISSED'],
      ],
      ['crotch off the front fork', { crotch: 758.9 }, ['BLOCK_CROTCH_LEVEL']],
      ['hem level off the hems', { hem: 1.5 }, ['BLOCK_HEM_LEVEL', 'BLOCK_HEM_LEVEL']],
    ] satisfies [string, Partial<Levels>, string[]][])('finds the %s', (_, levels, codes) => {
      expect(newCodes({ ...block, levels: { ...block.levels, ...levels } })).toEqual(codes);
    });

    it('lets levels be off by a millimetre', () => {
      expect(newCodes({ ...block, levels: { ...block.levels, crotch: 759.1, hem: 0.9 } })).toEqual([]);
    });

    it('finds a knee level that no seam reaches', () => {
      expect(newCodes({ ...block, levels: { ...block.levels, hem: -30, knee: -20 } })).toEqual([
        'BLOCK_LEVEL_MISSED',
        'BLOCK_LEVEL_MISSED',
        'BLOCK_HEM_LEVEL',
        'BLOCK_LEVEL_MISSED',
        'BLOCK_LEVEL_MISSED',
        'BLOCK_HEM_LEVEL',
      ]);
    });

    it('finds a hem that slants', () => {
      const slanted = changedIn(
        changed('back', 'hem-1', (curve) => line(curve.p0, add(end(curve), at(0, 1.2)))),
        'back',
        'outseam-1',
        (curve) => line(add(curve.p0, at(0, 1.2)), end(curve)),
      );
      expect(only(slanted, 'BLOCK_HEM_SLANTED').numbers).toMatchObject({ highMm: expect.closeTo(1.2, 9) });
    });

    it('finds hems at two levels', () => {
      const raised = { ...block, back: movedBy(block.back, at(0, 3)) };
      expect(newCodes(raised)).toEqual(['BLOCK_HEM_LEVEL', 'BLOCK_HEM_LEVELS_DIFFER']);
    });

    it('finds a piece that is mirrored', () => {
      const mirrored = block.front.edges.map((edge) => ({
        ...edge,
        curve: mapCurve(edge.curve, (p) => at(-p.x, p.y)),
      }));
      expect(newCodes({ ...block, front: { ...block.front, edges: mirrored } })).toEqual([
        'BLOCK_OUTLINE_REVERSED',
        'BLOCK_FORK_SIDE',
        'BLOCK_CREASE_OUTSIDE_HEM',
      ]);
    });

    it('finds a crease that misses the hem', () => {
      expect(newCodes({ ...block, front: movedBy(block.front, at(120, 0)) })).toEqual([
        'BLOCK_CREASE_OUTSIDE_HEM',
      ]);
    });
  });

  it('finds notches on no edge and past an edge', () => {
    const notches = [
      { edgeId: 'hem-1', fromStartMm: 210, kind: 'slit' },
      { edgeId: 'hem-1', fromStartMm: 210.5, kind: 'slit' },
      { edgeId: 'hem-9', fromStartMm: 1, kind: 'v', name: 'knee' },
      { edgeId: 'hem-1', fromStartMm: -1, kind: 'v' },
    ] as const;
    expect(newCodes({ ...block, front: { ...block.front, notches } })).toEqual([
      'BLOCK_NOTCH_PAST_EDGE',
      'BLOCK_NOTCH_EDGE',
      'BLOCK_NOTCH_PAST_EDGE',
    ]);
  });

  it('refuses a band without length', () => {
    expect(newCodes({ ...block, waistbandMm: 0 })).toEqual(['BLOCK_WAISTBAND']);
  });

  it('says first, and only, what keeps it from measuring', () => {
    const broken = changed('front', 'hem-1', (curve) => line(at(Number.NaN, 0), end(curve)));
    const findings = checkBlock({ ...broken, levels: { ...block.levels, knee: Infinity } }, BLOCK_TOLERANCES);
    expect(findings.map(({ code, place }) => [code, place?.part])).toEqual([
      ['BLOCK_NOT_A_NUMBER', 'knee'],
      ['BLOCK_NOT_A_NUMBER', 'hem-1'],
    ]);
    const twins = block.front.edges.map((edge) =>
      edge.id === 'inseam-2' ? { ...edge, id: 'inseam-1' } : edge,
    );
    expect(codesOf({ ...block, front: { ...block.front, edges: twins } })).toEqual(['BLOCK_EDGE_ID_DOUBLED']);
  });

  it('says all problems at once, each with a place and something to do', () => {
    const edges = block.front.edges.slice(0, 4);
    const findings = checkBlock(
      { ...block, front: { ...block.front, edges }, levels: { ...block.levels, hip: 100 }, waistbandMm: -5 },
      BLOCK_TOLERANCES,
    );
    expect(new Set(findings.map(({ code }) => code))).toEqual(
      new Set([
        'BLOCK_LEVELS_ORDER',
        'BLOCK_ROLE_MISSING',
        'BLOCK_OUTLINE_OPEN',
        'BLOCK_SEAM_PAIR',
        'BLOCK_WAISTBAND',
      ]),
    );
    for (const finding of findings) {
      expect(finding.place).toBeDefined();
      expect(finding.action).toMatch(/\w+ .*\.$/);
    }
  });

  it('takes a piece without a single edge', () => {
    const empty = { ...block.back, edges: [] };
    expect(codesOf({ ...block, back: empty })).toEqual(Array(5).fill('BLOCK_ROLE_MISSING'));
  });
});

function codesOf(candidate: Block): string[] {
  return checkBlock(candidate, BLOCK_TOLERANCES).map(({ code }) => code);
}

/** The codes that the change has brought. */
function newCodes(candidate: Block): string[] {
  return codesOf(candidate).filter((code) => code !== KNOWN);
}

function only(candidate: Block, code: string): Finding {
  const findings = checkBlock(candidate, BLOCK_TOLERANCES).filter((finding) => finding.code !== KNOWN);
  expect(findings.map((finding) => finding.code)).toEqual([code]);
  return findings[0];
}

function changed(piece: 'front' | 'back', id: string, change: (curve: Curve) => Curve): Block {
  return changedIn(block, piece, id, change);
}

function changedIn(from: Block, piece: 'front' | 'back', id: string, change: (curve: Curve) => Curve): Block {
  const edge = edgeById(from[piece], id);
  return { ...from, [piece]: withEdge(from[piece], id, [{ ...edge, curve: change(edge.curve) }]) };
}

function withRole(piece: Piece, roleOf: (edge: Edge) => EdgeRole): Piece {
  return { ...piece, edges: piece.edges.map((edge) => ({ ...edge, role: roleOf(edge) })) };
}

function movedBy(piece: Piece, by: Point): Piece {
  return {
    ...piece,
    edges: piece.edges.map((edge) => ({ ...edge, curve: mapCurve(edge.curve, (p) => add(p, by)) })),
  };
}

function end(curve: Curve): Point {
  return curve.kind === 'line' ? curve.p1 : curve.p3;
}
