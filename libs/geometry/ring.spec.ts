import Flatten from '@flatten-js/core';
import { describe, expect, it } from '@jest/globals';
import { areaD } from 'clipper2-ts';
import fc from 'fast-check';
import { at, cubic, flattenRing, line, ringArea, ringCrossings, ringGapMm } from './index.js';

/** Whole millimetres: touches and overlaps are then exact, and common enough to be found. */
const gridPoint = fc.record({ x: fc.integer({ min: 0, max: 30 }), y: fc.integer({ min: 0, max: 30 }) });

describe('ringArea', () => {
  it('is that of a circle for four quarter arcs, within the error of the arc itself', () => {
    const r = 100;
    const k = (4 / 3) * Math.tan(Math.PI / 8) * r;
    const ring = [
      cubic(at(r, 0), at(r, k), at(k, r), at(0, r)),
      cubic(at(0, r), at(-k, r), at(-r, k), at(-r, 0)),
      cubic(at(-r, 0), at(-r, -k), at(-k, -r), at(0, -r)),
      cubic(at(0, -r), at(k, -r), at(r, -k), at(r, 0)),
    ];
    // The usual arc of one cubic bulges by 0.027 % of the radius.
    expect(Math.abs(ringArea(ring) / (Math.PI * r * r) - 1)).toBeLessThan(6e-4);
    // Outside kernel: clipper2-ts on the flattened ring.
    const flat = areaD(flattenRing(ring, 1e-4).map(({ x, y }) => ({ x, y })));
    expect(Math.abs(ringArea(ring) - flat)).toBeLessThan(0.1);
  });

  it('is signed by the direction of travel', () => {
    const square = [at(0, 0), at(10, 0), at(10, 10), at(0, 10)];
    const sides = square.map((p, i) => line(p, square[(i + 1) % 4]));
    expect(ringArea(sides)).toBe(100);
    expect(ringGapMm(sides)).toBe(0);
  });
});

describe('ringCrossings', () => {
  it('finds the crossing of a bow tie', () => {
    const [crossing] = ringCrossings([at(0, 0), at(10, 10), at(10, 0), at(0, 10)], 10);
    expect(crossing).toEqual({ at: at(5, 5), first: 0, second: 2 });
  });

  it('finds a side that folds back over the one before', () => {
    expect(ringCrossings([at(0, 0), at(10, 0), at(4, 0), at(4, 8)], 10).length).toBeGreaterThan(0);
  });

  it('finds none in a convex ring, whatever the start and direction', () => {
    const ring = Array.from({ length: 40 }, (_, i) =>
      at(300 * Math.cos((i * Math.PI) / 20), 600 * Math.sin((i * Math.PI) / 20)),
    );
    expect(ringCrossings(ring, 10)).toEqual([]);
    expect(ringCrossings([...ring.slice(7), ...ring.slice(0, 7)].reverse(), 10)).toEqual([]);
  });

  // Outside kernel: flatten-js compares every pair of sides without our sweep.
  it('agrees with comparing every pair', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(gridPoint, { minLength: 4, maxLength: 12, selector: (p) => `${p.x},${p.y}` }),
        (points) => {
          const sides = points.map((p, i) =>
            Flatten.segment(p.x, p.y, points[(i + 1) % points.length].x, points[(i + 1) % points.length].y),
          );
          let pairs = 0;
          for (let i = 0; i < sides.length; i++) {
            const next = sides[(i + 1) % sides.length];
            // Neighbours count when the second runs back over the first: then they share more than a corner.
            if (next.contains(sides[i].ps) || sides[i].contains(next.pe)) pairs++;
            for (let j = i + 2; j < sides.length; j++) {
              if (i === 0 && j === sides.length - 1) continue;
              if (sides[i].intersect(sides[j]).length > 0) pairs++;
            }
          }
          expect(ringCrossings(points, 1_000).length).toBe(pairs);
        },
      ),
    );
  });
});
