import { describe, expect, it } from '@jest/globals';
import { distance, dot, pointAt, velocityAt, way, type Point } from '#geometry';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { fairCurves } from './fair-curves.js';

const COUNT = IS_NIGHT ? 4_000 : 400;
const TOLERANCE_MM = 0.05;

/** A line as x and y at a share of it, and its length by another way than the fit's. */
interface Truth {
  readonly at: (share: number) => Point;
  readonly lengthMm: number;
}

function circle(next: () => number): Truth {
  const radius = 60 + 400 * next();
  const angle = 0.2 + 1.3 * next();
  return {
    at: (share) => ({ x: radius * Math.sin(angle * share), y: radius * (1 - Math.cos(angle * share)) }),
    lengthMm: radius * angle,
  };
}

/** y = a·cosh(x/a), of which the length is known: a·sinh(x/a). */
function chain(next: () => number): Truth {
  const a = 300 + 900 * next();
  const span = 200 + 250 * next();
  return {
    at: (share) => ({ x: span * share, y: a * Math.cosh((span * share) / a) }),
    lengthMm: a * Math.sinh(span / a),
  };
}

/** A straight seam that was redrawn fuller in a stretch of it: a cosine of up to 6 mm over at least 200 mm. */
function bowed(next: () => number): Truth {
  const span = 300 + 200 * next();
  const from = 0.3 * next();
  const to = 0.8 + 0.2 * next();
  const bow = 6 * next();
  const at = (share: number): Point => {
    const u = Math.min(1, Math.max(0, (share - from) / (to - from)));
    return { x: (bow * (1 - Math.cos(2 * Math.PI * u))) / 2, y: span * share };
  };
  return { at, lengthMm: chordsMm(Array.from({ length: 2_001 }, (_, i) => at(i / 2_000))) };
}

const LINES = { circle, chain, bowed } as const;

describe.each(Object.entries(LINES))(`curves through points of a %s, seed ${SEED}`, (_, lineOf) => {
  const next = numbersFrom(SEED);

  it('are as long as the line, and never run back', () => {
    for (let i = 0; i < COUNT; i++) {
      const truth = lineOf(next);
      const points = pointsOf(truth, next);
      const smooth = points.map(() => false);
      const { curves } = fairCurves(points, smooth, false, TOLERANCE_MM);
      const lengthMm = chordsMm(curves.flatMap(({ curve }) => samples(curve)));
      const runsBack = curves.filter(({ curve, first, last }) =>
        Array.from({ length: 33 }, (_, k) => velocityAt(curve, k / 32)).some(
          (velocity) => dot(velocity, way(points[first], points[last])) <= 0,
        ),
      );
      // Not shorter than the chords, but for what the points may be off; longer than the line by next to nothing.
      expect({
        points,
        isShort: lengthMm < chordsMm(points) - TOLERANCE_MM,
        isLong: lengthMm > truth.lengthMm + TOLERANCE_MM,
        runsBack,
      }).toEqual({ points, isShort: false, isLong: false, runsBack: [] });
    }
  });
});

it('three points that nearly lie on a line are not passed by a curve that runs past one of them and back', () => {
  // As a seam is written: to 0.01 mm, some vertices near each other and some far.
  const points = [
    { x: 111.96, y: 686.53 },
    { x: 110.08, y: 655.05 },
    { x: 107.85, y: 623.3 },
    { x: 106.13, y: 591.3 },
    { x: 104.51, y: 560.03 },
  ];
  const { curves } = fairCurves(points, [true, false, false, false, true], false, TOLERANCE_MM);
  const lengthMm = chordsMm(curves.flatMap(({ curve }) => samples(curve)));
  expect(lengthMm - chordsMm(points)).toBeLessThan(0.05);
});

/** Points of a line at uneven steps, some near each other and some far, as they stand in a file with two decimals. */
function pointsOf({ at, lengthMm }: Truth, next: () => number): Point[] {
  const shares = [0];
  for (;;) {
    const stepMm = next() < 0.2 ? 2 + 4 * next() : 10 + 20 * next();
    const share = shares[shares.length - 1] + stepMm / lengthMm;
    // A reader leaves out points that are doubled; the last of these would be.
    if (share > 1 - 2 / lengthMm) break;
    shares.push(share);
  }
  return [...shares, 1].map((share) => {
    const { x, y } = at(share);
    return { x: Math.round(100 * x) / 100, y: Math.round(100 * y) / 100 };
  });
}

function samples(curve: Parameters<typeof pointAt>[0]): Point[] {
  return Array.from({ length: 101 }, (_, i) => pointAt(curve, i / 100));
}

function chordsMm(points: readonly Point[]): number {
  return points.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(points[i - 1], p)), 0);
}
