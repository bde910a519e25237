import { describe, expect, it } from '@jest/globals';
import { pointInPolygonD, PointInPolygonResult } from 'clipper2-ts';
import fc from 'fast-check';
import { at, ringContains } from './index.js';

describe('ringContains', () => {
  it('tells a notch in a square from its inside', () => {
    const notched = [at(0, 0), at(10, 0), at(10, 10), at(5, 2), at(0, 10)];
    expect(ringContains(notched, at(5, 1))).toBe(true);
    expect(ringContains(notched, at(5, 5))).toBe(false);
    expect(ringContains(notched, at(1, 5))).toBe(true);
    expect(ringContains(notched, at(-1, 2))).toBe(false);
  });

  it('agrees with an outside kernel (clipper2-ts) on every point that is not on a side', () => {
    const grid = fc.record({ x: fc.integer({ min: 0, max: 20 }), y: fc.integer({ min: 0, max: 20 }) });
    fc.assert(
      fc.property(fc.array(grid, { minLength: 3, maxLength: 9 }), grid, (points, p) => {
        const theirs = pointInPolygonD(p, points);
        fc.pre(theirs !== PointInPolygonResult.IsOn);
        expect(ringContains(points, p)).toBe(theirs === PointInPolygonResult.IsInside);
      }),
    );
  });
});
