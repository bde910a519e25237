import { describe, expect, it } from '@jest/globals';
import { areaD, intersectD, FillRule } from 'clipper2-ts';
import {
  angleBetween,
  at,
  cubic,
  DEG,
  direction,
  distance,
  line,
  pointAt,
  polygonArea,
  ringContains,
  ringCrossings,
  turnAbout,
  type Curve,
  type Point,
} from '#geometry';
import type { CornerPlan } from './corners.js';
import { cutRing } from './cut-ring.js';
import type { SeamRun, WidthStation } from './cut-piece.js';

const TOLERANCE_MM = 0.02;

function runOf(seam: string, curves: readonly Curve[], ...widths: (number | WidthStation)[]): SeamRun {
  return {
    seam,
    curves,
    widths: widths.map((width) => (typeof width === 'number' ? { fromStartMm: 0, widthMm: width } : width)),
  };
}

function joint(treatment: CornerPlan['treatment'], rest: Partial<CornerPlan> = {}): CornerPlan {
  return { treatment, seam: 'after', mitreLimit: 3, ...rest };
}

/** Left side up, top, right side down, bottom: clockwise. */
function box(corners: readonly Point[], widths: readonly number[]): SeamRun[] {
  return corners.map((p, i) => runOf(`side ${i}`, [line(p, corners[(i + 1) % corners.length])], widths[i]));
}

const SQUARE = [at(0, 0), at(0, 100), at(200, 100), at(200, 0)];

const pointsOf = (ring: ReturnType<typeof cutRing>): Point[] => ring.cut.map((point) => point.at);

describe('cutRing', () => {
  it('adds each width to its own side of a rectangle', () => {
    const ring = cutRing(
      box(SQUARE, [5, 10, 15, 40]),
      SQUARE.map(() => joint('mitre')),
      TOLERANCE_MM,
    );
    expect(pointsOf(ring)).toHaveLength(4);
    // Closed form: (5 + 200 + 15) x (40 + 100 + 10), clockwise.
    expect(polygonArea(pointsOf(ring))).toBeCloseTo(-220 * 150, 6);
  });

  it('bevels a mitre at its limit', () => {
    const sharp = [at(0, 0), at(0, 400), at(60, 0)];
    const ring = cutRing(
      box(sharp, [10, 10, 10]),
      sharp.map(() => joint('mitre', { mitreLimit: 2 })),
      TOLERANCE_MM,
    );
    const farthest = Math.max(
      ...pointsOf(ring)
        .map((p) => distance(p, sharp[1]))
        .filter((mm) => mm < 100),
    );
    // Half the bevel's own width beside its middle, which lies two widths from the corner.
    const half = 10 / Math.cos(Math.atan(60 / 400) / 2);
    expect(farthest).toBeLessThan(Math.hypot(20, half));
    expect(farthest).toBeGreaterThan(20);
  });

  it('ends a pressed-open allowance square to its seam, where the seam leaves the other allowance', () => {
    // The corner at the top right encloses 70 degrees.
    const slanted = [at(0, 0), at(0, 100), at(200, 100), at(200 - 100 / Math.tan(70 * DEG), 0)];
    const ring = cutRing(
      box(slanted, [10, 12, 18, 10]),
      slanted.map((_, i) => joint(i === 1 ? 'square' : 'mitre')),
      TOLERANCE_MM,
    );
    const seam = direction(slanted[3], slanted[2]);
    const leaves = { x: slanted[2].x + (12 / Math.sin(70 * DEG)) * seam.x, y: 112 };
    const points = pointsOf(ring);
    const index = points.findIndex((p) => distance(p, leaves) < 1e-6);
    expect(index).toBeGreaterThanOrEqual(0);
    const end = points[(index + 1) % points.length];
    expect(angleBetween(direction(leaves, end), seam) / DEG).toBeCloseTo(90, 6);
    expect(distance(leaves, end)).toBeCloseTo(18, 6);
  });

  it('ends a flush allowance so that folded back on its seam it lies on the other cut line', () => {
    const slanted = [at(0, 0), at(0, 100), at(200, 100), at(200 - 100 / Math.tan(70 * DEG), 0)];
    const ring = cutRing(
      box(slanted, [10, 12, 18, 10]),
      slanted.map((_, i) => joint(i === 1 ? 'flush' : 'mitre')),
      TOLERANCE_MM,
    );
    // The allowance of the right side is what lies right of the seam: folded over, its end has y = 112 as well.
    const seam = direction(slanted[3], slanted[2]);
    const end = pointsOf(ring).reduce((best, p) => (p.x > best.x ? p : best));
    const folded = foldOver(end, slanted[2], seam);
    expect(folded.y).toBeCloseTo(112, 6);
  });

  it('turns a hem up within a tapered leg', () => {
    // The leg narrows by 30 mm on each side over its length of 400.
    const leg = [at(30, 0), at(0, 400), at(200, 400), at(170, 0)];
    const hemMm = 50;
    const ring = cutRing(
      box(leg, [10, 10, 10, hemMm]),
      [
        joint('mitre'),
        joint('mitre'),
        joint('turned-back', { seam: 'before', fold: at(-1, 0) }),
        joint('turned-back', { seam: 'after', fold: at(-1, 0) }),
      ],
      TOLERANCE_MM,
    );
    const points = pointsOf(ring);
    for (const level of [10, 25, 49]) {
      expect(widthAt(points, -level)).toBeCloseTo(widthAt(points, level), 6);
    }
    expect(Math.min(...points.map(({ y }) => y))).toBeCloseTo(-hemMm, 6);
  });

  it('steps where one width ends and another begins on a straight seam', () => {
    const runs = [
      runOf('left', [line(at(0, 0), at(0, 60))], 10),
      runOf('left inlay', [line(at(0, 60), at(0, 100))], 30),
      ...box(SQUARE, [0, 10, 10, 10]).slice(1),
    ];
    const ring = cutRing(
      runs,
      runs.map(() => joint('square')),
      TOLERANCE_MM,
    );
    expect(ring.treatments[0]).toBe('stair');
    const points = pointsOf(ring);
    expect(points.some((p) => distance(p, at(-10, 60)) < 1e-9)).toBe(true);
    expect(points.some((p) => distance(p, at(-30, 60)) < 1e-9)).toBe(true);
  });

  it('tapers evenly along the seam', () => {
    const runs = box(SQUARE, [10, 10, 10, 10]);
    runs[1] = runOf('top', [line(at(0, 100), at(200, 100))], 10, { fromStartMm: 200, widthMm: 35 });
    const ring = cutRing(
      runs,
      runs.map(() => joint('mitre')),
      TOLERANCE_MM,
    );
    expect(heightAt(pointsOf(ring), 100)).toBeCloseTo(100 + (10 + 35) / 2, 6);
  });

  it('takes out the loop where the seam bends more tightly than the allowance is wide', () => {
    // A narrow bay in the top, rounded to under a millimetre at its bottom, to be allowed for with 20.
    const bay = [
      line(at(0, 100), at(70, 100)),
      cubic(at(70, 100), at(95, 100), at(97, 80), at(100, 80)),
      cubic(at(100, 80), at(103, 80), at(105, 100), at(130, 100)),
      line(at(130, 100), at(200, 100)),
    ];
    const runs = box(SQUARE, [20, 20, 20, 20]);
    runs[1] = runOf('top', bay, 20);
    const ring = cutRing(
      runs,
      runs.map(() => joint('mitre')),
      TOLERANCE_MM,
    );
    expect(ring.looped).toBe(true);
    const points = pointsOf(ring);
    expect(ringCrossings(points, 4)).toEqual([]);
    expect(ringContains(points, at(100, 80))).toBe(true);
    // What is left keeps 20 mm from the whole seam, not only from the part it was made from.
    const seam = bay.flatMap((curve) => Array.from({ length: 2000 }, (_, i) => pointAt(curve, i / 1999)));
    const over = points.filter(({ x, y }) => x > 40 && x < 160 && y > 50);
    expect(over.length).toBeGreaterThan(10);
    for (const p of over) {
      expect(Math.abs(Math.min(...seam.map((q) => distance(p, q))) - 20)).toBeLessThan(0.05);
    }
  });

  it('keeps its chords within the tolerance of a circle', () => {
    const r = 150;
    const k = (4 / 3) * Math.tan(Math.PI / 8) * r;
    const quarters = [
      cubic(at(-r, 0), at(-r, k), at(-k, r), at(0, r)),
      cubic(at(0, r), at(k, r), at(r, k), at(r, 0)),
      cubic(at(r, 0), at(r, -k), at(k, -r), at(0, -r)),
      cubic(at(0, -r), at(-k, -r), at(-r, -k), at(-r, 0)),
    ];
    const runs = quarters.map((curve, i) => runOf(`quarter ${i}`, [curve], 12));
    const points = pointsOf(
      cutRing(
        runs,
        runs.map(() => joint('square')),
        TOLERANCE_MM,
      ),
    );
    for (const [i, p] of points.entries()) {
      const q = points[(i + 1) % points.length];
      const middle = Math.hypot((p.x + q.x) / 2, (p.y + q.y) / 2);
      // The cubic itself bulges by 0.027 % of its radius.
      expect(Math.abs(middle - (r + 12))).toBeLessThan(TOLERANCE_MM + 0.00028 * r);
    }
  });

  it('folds a dart so that its allowance lies under the waist of the centre', () => {
    const apex = at(100, 0);
    const runs = [
      runOf('left', [line(at(0, 0), at(0, 100))], 10),
      runOf('waist', [line(at(0, 100), at(90, 98))], 10),
      runOf('waist', [line(at(110, 98), at(200, 100))], 10),
      runOf('right', [line(at(200, 100), at(200, 0))], 10),
      runOf('bottom', [line(at(200, 0), at(0, 0))], 10),
    ];
    const dart = { apex, sideLeg: at(90, 98), centreLeg: at(110, 98) };
    const ring = cutRing(
      runs,
      [joint('mitre'), dart, joint('mitre'), joint('mitre'), joint('mitre')],
      TOLERANCE_MM,
    );
    const points = pointsOf(ring);
    const peak = points.filter(({ x }) => Math.abs(x - 100) < 1e-6);
    expect(peak).toHaveLength(1);
    // Folded: the peak is carried over the centre leg onto the centre's own cut line, which runs on from there.
    const folded = foldOver(peak[0], apex, direction(apex, at(110, 98)));
    expect(heightAt(points, folded.x)).toBeCloseTo(folded.y, 6);
    // And over both folds it comes back to itself: the dart's two legs coincide when it is shut.
    const shut = 2 * Math.atan(10 / 98);
    expect(distance(turnAbout(at(90, 98), apex, -shut), at(110, 98))).toBeLessThan(1e-9);
  });
});

function foldOver(p: Point, origin: Point, towards: Point): Point {
  const x = p.x - origin.x;
  const y = p.y - origin.y;
  const on = x * towards.x + y * towards.y;
  return { x: origin.x + 2 * on * towards.x - x, y: origin.y + 2 * on * towards.y - y };
}

/** Width of a polygon at a level, by the outside kernel: its part within a hair's height there. */
function widthAt(points: readonly Point[], y: number): number {
  const half = 1e-3;
  const strip = [
    { x: -1e3, y: y - half },
    { x: 1e3, y: y - half },
    { x: 1e3, y: y + half },
    { x: -1e3, y: y + half },
  ];
  const path = points.map((p) => ({ x: p.x, y: p.y }));
  const part = intersectD([path], [strip], FillRule.NonZero, 8);
  return part.reduce((sum, ring) => sum + Math.abs(areaD(ring)), 0) / (2 * half);
}

/** The highest point of a polygon at x. */
function heightAt(points: readonly Point[], x: number): number {
  let top = -Infinity;
  for (const [i, p] of points.entries()) {
    const q = points[(i + 1) % points.length];
    if (p.x === q.x || (x - p.x) * (x - q.x) > 0) continue;
    top = Math.max(top, p.y + ((x - p.x) / (q.x - p.x)) * (q.y - p.y));
  }
  return top;
}
