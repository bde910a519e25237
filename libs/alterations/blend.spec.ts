import { describe, expect, it } from '@jest/globals';
import { at, DEG, endOf, line, pointAt, startOf, type Point } from '#geometry';
import type { Edge } from '#pattern';
import { blendCentre } from './blend.js';

// A level waist of 110 mm that ends at the origin; the new centre lies above it on a rise that leans by so much.
const RUN: readonly Edge[] = [{ id: 'waist', role: 'waist', curve: line(at(-110, 0), at(0, 0)) }];

interface Blended {
  /** Dense points from the centre to the start of the blend, in the frame whose x runs square to the rise. */
  readonly square: readonly Point[];
  readonly points: readonly Point[];
  readonly blendMm: number;
}

function blended(risenMm: number, leanDeg: number): Blended {
  const lean = leanDeg * DEG;
  const centre = at(-risenMm * Math.sin(lean), risenMm * Math.cos(lean));
  const run = blendCentre(RUN, centre, at(Math.cos(lean), Math.sin(lean)));
  const { curve } = run[run.length - 1];
  const points = Array.from({ length: 2001 }, (_, i) => pointAt(curve, 1 - i / 2000));
  const square = points.map(({ x, y }) => {
    const [dx, dy] = [centre.x - x, centre.y - y];
    return at(dx * Math.cos(lean) + dy * Math.sin(lean), dx * Math.sin(lean) - dy * Math.cos(lean));
  });
  return { square, points, blendMm: Math.hypot(endOf(curve).x - startOf(curve).x, endOf(curve).y) };
}

/** Slope at the centre of the parabola that fits the first ten millimetres best, in degrees: an even bend has none. */
function offSquareDeg({ square }: Blended): number {
  const near = square.filter(({ x, y }) => Math.hypot(x, y) <= 10);
  const sum = (of: (p: Point) => number): number => near.reduce((total, p) => total + of(p), 0);
  const [x2, x3, x4] = [2, 3, 4].map((power) => sum(({ x }) => x ** power));
  const [xy, x2y] = [sum(({ x, y }) => x * y), sum(({ x, y }) => x * x * y)];
  return Math.atan((xy * x4 - x2y * x3) / (x2 * x4 - x3 * x3)) / DEG;
}

/** Circle through each three neighbours. */
function leastRadiusMm({ points }: Blended): number {
  let least = Infinity;
  for (let i = 10; i + 10 < points.length; i += 10) {
    const [a, b, c] = [points[i - 10], points[i], points[i + 10]];
    const area = Math.abs((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)) / 2;
    const sides = [
      [a, b],
      [b, c],
      [c, a],
    ].map(([p, q]) => Math.hypot(p.x - q.x, p.y - q.y));
    if (area > 1e-9) least = Math.min(least, (sides[0] * sides[1] * sides[2]) / (4 * area));
  }
  return least;
}

const LEANS = [5, 10, 15, 20, 25, 28];
const RISEN = [0, 0.5, 1, 2, 3, 5, 7, 8, 10, 12, 15, 20, 30, 60, 100];
const CASES = LEANS.flatMap((lean) => RISEN.map((risen): [number, number] => [risen, lean]));

describe('a waist blended into a moved centre', () => {
  it.each(CASES)('is square over ten millimetres: %s mm up a rise turned by %s degrees', (risen, lean) => {
    const blend = blended(risen, lean);
    expect(Math.abs(offSquareDeg(blend))).toBeLessThan(0.7);
  });

  it.each(CASES.filter(([risen]) => risen <= 15))(
    'turns no tighter than 20 mm and dips little: %s mm up a rise turned by %s degrees',
    (risen, lean) => {
      const blend = blended(risen, lean);
      expect(leastRadiusMm(blend)).toBeGreaterThan(20);
      expect(Math.min(...blend.points.map(({ y }) => y))).toBeGreaterThan(-3.5);
      expect(blend.blendMm).toBeGreaterThan(29);
    },
  );

  it('bends one way only where the centre rises enough', () => {
    for (const lean of LEANS) {
      const { points } = blended(15, lean);
      expect(Math.min(...points.map(({ y }) => y))).toBeGreaterThan(-1e-9);
    }
  });
});
