import { describe, expect, it } from '@jest/globals';
import { areaD } from 'clipper2-ts';
import { at, cubic, DEG, line, type Curve, type Point } from '#geometry';
import { chordPoints } from '../../test/support/chords.js';
import { HANDBOOK_BLOCK_SIZE_12 } from '../../test/fixtures/handbook-block-size-12.js';
import { inflectionsOf, inspectOutline, interiorAngleRad, OUTLINE_LIMITS, type Piece } from './index.js';

describe('inspectOutline', () => {
  it('finds nothing wrong with a square, and knows its area and its four points', () => {
    const found = inspectOutline(polygon(at(0, 0), at(0, 100), at(100, 100), at(100, 0)), OUTLINE_LIMITS);
    expect(found).toEqual({
      gaps: [],
      crossings: [],
      orientation: 'clockwise',
      areaMm2: 10_000,
      pointCount: 4,
      doubledPoints: [],
      shortEdges: [],
      slivers: [],
      curves: [],
    });
  });

  it('says which way an outline runs', () => {
    const turned = polygon(at(0, 0), at(100, 0), at(100, 100), at(0, 100));
    expect(inspectOutline(turned, OUTLINE_LIMITS).orientation).toBe('counter-clockwise');
  });

  it('finds the crossing of a bow tie', () => {
    const { crossings } = inspectOutline(
      polygon(at(0, 0), at(100, 100), at(100, 0), at(0, 100)),
      OUTLINE_LIMITS,
    );
    expect(crossings).toEqual([at(50, 50)]);
  });

  it('finds a curve that bulges through the edge across from it', () => {
    // The middle of the curve lies 3/4 of 120 above its chord: 90, over the line at 60.
    const ring = [
      line(at(100, 0), at(0, 0)),
      line(at(0, 0), at(0, 60)),
      line(at(0, 60), at(100, 60)),
      line(at(100, 60), at(120, 0)),
      cubic(at(120, 0), at(120, 160), at(80, 160), at(100, 0)),
    ];
    expect(inspectOutline(pieceOfCurves(ring), OUTLINE_LIMITS).crossings.length).toBeGreaterThan(0);
  });

  it('measures a gap and says after which edge it is', () => {
    const ring = [line(at(0, 0), at(0, 100)), line(at(0, 100.5), at(100, 0)), line(at(100, 0), at(0, 0))];
    const { gaps } = inspectOutline(pieceOfCurves(ring), OUTLINE_LIMITS);
    expect(gaps).toEqual([{ edgeId: 'e0', gapMm: 0.5, at: at(0, 100) }]);
  });

  it('tells a doubled point from a short edge from an edge that is long enough', () => {
    const found = inspectOutline(
      polygon(at(0, 0), at(0, 100), at(0.0005, 100), at(0.6, 100), at(2, 100), at(100, 0)),
      OUTLINE_LIMITS,
    );
    expect(found.doubledPoints.map((point) => point.edgeId)).toEqual(['e1']);
    expect(found.shortEdges.map((edge) => edge.edgeId)).toEqual(['e2']);
    expect(found.crossings).toEqual([]);
  });

  it('names a sliver, outwards and inwards, but not the point of a dart', () => {
    const spike = polygon(
      at(0, 0),
      at(0, 100),
      at(50, 100),
      at(51, 200),
      at(52, 100),
      at(100, 100),
      at(100, 0),
    );
    // atan(1/100) twice.
    expect(inspectOutline(spike, OUTLINE_LIMITS).slivers).toEqual([
      { angleDeg: expect.closeTo((2 * Math.atan(0.01)) / DEG, 6), at: at(51, 200) },
    ]);
    const slit = polygon(
      at(0, 0),
      at(0, 100),
      at(50, 100),
      at(51, 20),
      at(52, 100),
      at(100, 100),
      at(100, 0),
    );
    expect(inspectOutline(slit, OUTLINE_LIMITS).slivers).toHaveLength(1);
    const dart: Piece = {
      ...slit,
      edges: slit.edges.map((edge, i) => (i === 2 || i === 3 ? { ...edge, role: 'dart' } : edge)),
    };
    expect(inspectOutline(dart, OUTLINE_LIMITS).slivers).toEqual([]);
  });

  it('reads the radius of a quarter circle', () => {
    const k = (4 / 3) * Math.tan(Math.PI / 8) * 250;
    const ring = [
      cubic(at(250, 0), at(250, -k), at(k, -250), at(0, -250)),
      line(at(0, -250), at(0, 0)),
      line(at(0, 0), at(250, 0)),
    ];
    const [{ radiusMm, inflections }] = inspectOutline(pieceOfCurves(ring), OUTLINE_LIMITS).curves;
    // The usual arc's radius of curvature wavers by 1.1 %.
    expect(Math.abs(radiusMm / 250 - 1)).toBeLessThan(0.012);
    expect(inflections).toBe(0);
  });

  it('has the area of an outside kernel (clipper2-ts) on chords', () => {
    for (const piece of [HANDBOOK_BLOCK_SIZE_12.front, HANDBOOK_BLOCK_SIZE_12.back]) {
      const points = piece.edges.flatMap((edge) => chordPoints(edge.curve).slice(1));
      const theirs = -areaD(points.map(({ x, y }) => ({ x, y })));
      expect(Math.abs(inspectOutline(piece, OUTLINE_LIMITS).areaMm2 - theirs)).toBeLessThan(0.1);
    }
  });
});

describe('inflectionsOf', () => {
  it('finds the middle of a cubic parabola', () => {
    // y = x^3 / 1e4 over -100..100: its control points are those of x^3 by polar form.
    const curve = cubic(at(-100, -100), at(-100 / 3, 100), at(100 / 3, -100), at(100, 100));
    expect(inflectionsOf(curve)).toEqual([expect.closeTo(0.5, 12)]);
  });

  it('agrees with the sign of the bend along the curve', () => {
    const curve = cubic(at(0, 0), at(150, 20), at(60, 160), at(240, 120));
    const [t] = inflectionsOf(curve);
    // Outside check: which way three neighbouring points of the curve turn.
    const points = chordPoints(curve, 1000);
    const turns = points.slice(2).map((p, i) => turn(points[i], points[i + 1], p));
    const change = turns.findIndex((value, i) => i > 0 && value > 0 !== turns[i - 1] > 0);
    expect(Math.abs(t - change / 1000)).toBeLessThan(0.002);
  });

  it('does not count the waver of a straight edge written with four decimals', () => {
    expect(inflectionsOf(cubic(at(0, 0), at(33.3333, 0.0001), at(66.6667, -0.0001), at(100, 0)))).toEqual([]);
  });

  it('finds none in a straight, doubled-back or pointed cubic', () => {
    expect(inflectionsOf(cubic(at(0, 0), at(40, 0), at(40, 0), at(0, 0)))).toEqual([]);
    expect(inflectionsOf(cubic(at(0, 0), at(100, 100), at(0, 100), at(100, 0)))).toEqual([]);
    expect(inflectionsOf(cubic(at(5, 5), at(5, 5), at(5, 5), at(5, 5)))).toEqual([]);
  });
});

describe('interiorAngleRad', () => {
  it.each([
    [at(0, 1), at(1, 0), 90],
    [at(0, 1), at(0, 1), 180],
    [at(0, 1), at(-1, 0), 270],
  ])('of a clockwise outline from %j to %j is %i degrees', (into, outOf, degrees) => {
    expect(interiorAngleRad(into, outOf) / DEG).toBeCloseTo(degrees, 12);
  });
});

function turn(a: Point, b: Point, c: Point): number {
  return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
}

function polygon(...points: Point[]): Piece {
  return pieceOfCurves(points.map((p, i) => line(p, points[(i + 1) % points.length])));
}

function pieceOfCurves(curves: readonly Curve[]): Piece {
  const edges = curves.map((curve, i) => ({ id: `e${i}`, role: 'waist' as const, curve }));
  return { role: 'front', edges, lines: [], notches: [] };
}
