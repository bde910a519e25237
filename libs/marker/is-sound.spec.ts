import { area, FillRule, intersect } from 'clipper2-ts';
import { describe, expect, it } from '@jest/globals';
import { areApart } from './is-sound.js';
import { Random } from './random.js';
import { boxOf, cleanRing, type Ring } from './ring.js';

describe('areApart', () => {
  const square = ring([
    [0, 0],
    [100, 0],
    [100, 100],
    [0, 100],
  ]);
  const small = ring([
    [0, 0],
    [10, 0],
    [10, 10],
    [0, 10],
  ]);

  it.each([
    ['beside at exactly the distance', square, 105, 0, true],
    ['beside and a unit nearer', square, 104, 0, false],
    ['corner to corner at 3, 4', square, 103, 104, true],
    ['corner to corner at 3, 3', square, 103, 103, false],
    ['on the same place', square, 0, 0, false],
    ['wholly inside', small, 40, 40, false],
    ['touching', square, 100, 30, false],
  ])('%s: %s', (_, other, dx, dy, expected) => {
    expect(areApart(square, other, dx, dy, 5)).toBe(expected);
  });

  it('agrees with the boolean kernel Clipper2 on random places', () => {
    const random = new Random(9);
    for (let trial = 0; trial < 2_000; trial++) {
      const [a, b] = [star(random), star(random)];
      const [p, q] = [boxOf(a), boxOf(b)];
      const dx = Math.round(p.left - q.right + random.next() * (p.right - p.left + q.right - q.left));
      const dy = Math.round(p.bottom - q.top + random.next() * (p.top - p.bottom + q.top - q.bottom));
      const shared = intersect([path(a, 0, 0)], [path(b, dx, dy)], FillRule.NonZero);
      const overlaps = shared.reduce((sum, one) => sum + Math.abs(area(one)), 0) > 0;
      expect(areApart(a, b, dx, dy, 1e-9)).toBe(!overlaps);
    }
  });
});

function ring(points: [number, number][]): Ring {
  return cleanRing(points) as Ring;
}

function star(random: Random): Ring {
  const corners = 5 + random.below(12);
  return ring(
    Array.from({ length: corners }, (_, i) => {
      const angle = (2 * Math.PI * (i + 0.3 * random.next())) / corners;
      const r = 1_000 + 9_000 * random.next();
      return [r * Math.cos(angle), r * Math.sin(angle)];
    }),
  );
}

function path(from: Ring, dx: number, dy: number): { x: number; y: number }[] {
  return Array.from(from.xs, (x, i) => ({ x: x + dx, y: from.ys[i] + dy }));
}
