import { difference, FillRule, area, type Path64 } from 'clipper2-ts';
import { describe, expect, it } from '@jest/globals';
import type { Point } from '#geometry';
import { cutPattern, threeBodies } from '../../test/support/cut-patterns.js';
import { outwardOutline } from './outward-outline.js';

// Oracle: Clipper2 on a grid of a ten-thousandth of a millimetre.
const GRID = 10_000;

describe('outwardOutline', () => {
  const rings = threeBodies().flatMap(({ name, body }) =>
    cutPattern(body, 0.5).pieces.map((piece) => ({
      name: `${piece.id} of ${name}`,
      ring: piece.cut.map(({ at }) => at),
    })),
  );

  it.each(rings)('holds the whole of the $name and stands out by no more than allowed', ({ ring }) => {
    for (const toleranceMm of [0.05, 0.3]) {
      const outline = outwardOutline(ring, toleranceMm);
      // Rounding to the oracle's own grid may leave slivers along every side, of half a grid unit.
      const missing = sharedArea(difference([path(ring)], [path(outline)], FillRule.NonZero));
      expect(missing).toBeLessThan((length(ring) * 1) / GRID);
      for (const p of outline) expect(distanceTo(ring, p)).toBeLessThanOrEqual(toleranceMm + 1e-9);
      expect(outline.length).toBeLessThanOrEqual(ring.length);
    }
  });

  it('leaves less than half the corners of a front and a back at 0.3 mm', () => {
    for (const { ring } of rings.filter(({ name }) => /^(front|back)/.test(name)))
      expect(outwardOutline(ring, 0.3).length).toBeLessThan(0.5 * ring.length);
  });

  it('leaves a square alone, whichever way round it comes', () => {
    const square = [
      { x: 0, y: 0 },
      { x: 10, y: 0 },
      { x: 10, y: 10 },
      { x: 0, y: 10 },
    ];
    expect(outwardOutline(square, 1)).toEqual(square);
    expect(outwardOutline([...square].reverse(), 1)).toHaveLength(4);
  });
});

function path(ring: readonly Point[]): Path64 {
  return ring.map(({ x, y }) => ({ x: Math.round(x * GRID), y: Math.round(y * GRID) }));
}

function sharedArea(paths: readonly Path64[]): number {
  return Math.abs(paths.reduce((sum, one) => sum + area(one), 0)) / GRID ** 2;
}

function length(ring: readonly Point[]): number {
  return ring.reduce((sum, p, i) => {
    const q = ring[(i + 1) % ring.length];
    return sum + Math.hypot(q.x - p.x, q.y - p.y);
  }, 0);
}

function distanceTo(ring: readonly Point[], p: Point): number {
  return ring.reduce((least, a, i) => {
    const b = ring[(i + 1) % ring.length];
    const [ex, ey, rx, ry] = [b.x - a.x, b.y - a.y, p.x - a.x, p.y - a.y];
    const squared = ex * ex + ey * ey;
    const share = squared === 0 ? 0 : Math.max(0, Math.min(1, (rx * ex + ry * ey) / squared));
    return Math.min(least, Math.hypot(rx - share * ex, ry - share * ey));
  }, Infinity);
}
