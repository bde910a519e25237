import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { add, at, endOf, line, parameterAtLength, pointAt, reversed, startOf, type Point } from '#geometry';
import { HANDBOOK_BLOCK_SIZE_12 } from '../../test/fixtures/handbook-block-size-12.js';
import {
  canonicalPiece,
  edgeById,
  type GivenEdge,
  type GivenNotch,
  type OutlineReading,
  type Piece,
} from './index.js';

const READING: OutlineReading = { joinMm: 0.01, lengthToleranceMm: 0.001 };
const back = HANDBOOK_BLOCK_SIZE_12.back;
const nameless: readonly GivenEdge[] = back.edges.map(({ role, curve }) => ({ role, curve }));

describe('canonicalPiece', () => {
  it('reads the same piece from any start and in either direction', () => {
    const edgeCount = nameless.length;
    for (let start = 0; start < edgeCount; start++) {
      const later = [...nameless.slice(start), ...nameless.slice(0, start)];
      expect(canonicalPiece('back', later, READING)).toEqual({ piece: back, findings: [] });
      expect(canonicalPiece('back', turned(later), READING)).toEqual({ piece: back, findings: [] });
    }
  });

  it('starts at the first rise edge and goes on through inseam, hem, outseam and waist', () => {
    const { piece } = canonicalPiece('back', turned(nameless), READING);
    expect(piece.edges.map((edge) => edge.id)).toEqual([
      'rise-1',
      'rise-2',
      'inseam-1',
      'inseam-2',
      'hem-1',
      'outseam-1',
      'outseam-2',
      'outseam-3',
      'waist-1',
      'dart-1',
      'dart-2',
      'waist-2',
      'dart-3',
      'dart-4',
      'waist-3',
    ]);
  });

  it('keeps given names and does not give them twice', () => {
    const edges = nameless.map((edge, i) => (i === 3 ? { ...edge, id: 'inseam-1' } : edge));
    const { piece } = canonicalPiece('back', edges, READING);
    expect(piece.edges.slice(2, 4).map((edge) => edge.id)).toEqual(['inseam-2', 'inseam-1']);
  });

  it('joins ends bit for bit that differ by less than the tolerance', () => {
    const jittered = nameless.map((edge, i) => ({
      ...edge,
      curve: shifted(edge.curve, at(0.003 * Math.sin(i), 0.003 * Math.cos(i))),
    }));
    const { piece, findings } = canonicalPiece('back', jittered, READING);
    expect(findings).toEqual([]);
    for (const [i, edge] of piece.edges.entries()) {
      expect(startOf(edge.curve)).toEqual(endOf(piece.edges.at(i - 1)!.curve));
      expect(endOf(edge.curve)).toEqual(endOf(jittered[i].curve));
    }
  });

  it('leaves a wider gap as it is and reports it', () => {
    const opened = nameless.map((edge, i) =>
      i === 4 ? { ...edge, curve: shifted(edge.curve, at(0, 0.02)) } : edge,
    );
    const { piece, findings } = canonicalPiece('back', opened, READING);
    expect(piece.edges[4].curve).toEqual(opened[4].curve);
    expect(findings.map(({ code, place, numbers }) => [code, place?.part, numbers?.['gapMm']])).toEqual([
      ['BLOCK_OUTLINE_OPEN', 'inseam-2', expect.closeTo(0.02, 9)],
      ['BLOCK_OUTLINE_OPEN', 'hem-1', expect.closeTo(0.02, 9)],
    ]);
  });

  it('leaves every notch where it was, whatever the start and the direction', () => {
    const place = fc.record({
      edge: fc.nat({ max: nameless.length - 1 }),
      share: fc.double({ min: 0, max: 1, noNaN: true }),
    });
    fc.assert(
      fc.property(
        place,
        fc.nat({ max: nameless.length - 1 }),
        fc.boolean(),
        ({ edge, share }, start, back2front) => {
          const later = [...nameless.slice(start), ...nameless.slice(0, start)];
          const edges = back2front ? turned(later) : later;
          const fromStartMm = share * 45;
          const where = pointAt(edges[edge].curve, parameterAtLength(edges[edge].curve, fromStartMm, 0.001));
          const notch: GivenNotch = { edge, fromStartMm, kind: 'v', name: 'hip' };
          const { piece } = canonicalPiece('back', edges, { ...READING, notches: [notch] });
          expect(near(notchPoint(piece), where, 0.01)).toBe(true);
          expect(piece.notches[0]).toMatchObject({ kind: 'v', name: 'hip' });
        },
      ),
    );
  });

  it('leaves out a notch that cannot be set, and says so', () => {
    const notches: GivenNotch[] = [
      { edge: 15, fromStartMm: 1, kind: 'slit' },
      { edge: 4, fromStartMm: 231, kind: 'slit' },
      { edge: 4, fromStartMm: 230, kind: 'slit' },
      { edge: 4, fromStartMm: Number.NaN, kind: 'slit' },
    ];
    const { piece, findings } = canonicalPiece('back', nameless, { ...READING, notches });
    expect(piece.notches).toEqual([{ edgeId: 'hem-1', fromStartMm: 230, kind: 'slit' }]);
    expect(findings.map(({ code, numbers }) => [code, numbers?.['notch']])).toEqual([
      ['BLOCK_NOTCH_EDGE', 0],
      ['BLOCK_NOTCH_PAST_EDGE', 1],
      ['BLOCK_NOTCH_PAST_EDGE', 3],
    ]);
  });

  it('reads an outline without a rise from the start it was given', () => {
    const square = [at(0, 0), at(0, 9), at(9, 9), at(9, 0)];
    const edges = square.map((p, i) => ({ role: 'waist' as const, curve: line(p, square[(i + 1) % 4]) }));
    expect(canonicalPiece('front', edges, READING).piece.edges.map((edge) => edge.curve)).toEqual(
      edges.map((edge) => edge.curve),
    );
    expect(canonicalPiece('front', [], READING)).toEqual({
      piece: { role: 'front', edges: [], lines: [], notches: [] },
      findings: [],
    });
  });
});

function turned(edges: readonly GivenEdge[]): GivenEdge[] {
  return [...edges].reverse().map((edge) => ({ ...edge, curve: reversed(edge.curve) }));
}

function shifted(curve: GivenEdge['curve'], by: Point): GivenEdge['curve'] {
  return curve.kind === 'line'
    ? line(add(curve.p0, by), add(curve.p1, by))
    : { ...curve, p0: add(curve.p0, by), p3: add(curve.p3, by) };
}

function notchPoint(piece: Piece): Point {
  const [{ edgeId, fromStartMm }] = piece.notches;
  const { curve } = edgeById(piece, edgeId);
  return pointAt(curve, parameterAtLength(curve, fromStartMm, 0.001));
}

function near(a: Point, b: Point, toleranceMm: number): boolean {
  return Math.hypot(a.x - b.x, a.y - b.y) <= toleranceMm;
}
