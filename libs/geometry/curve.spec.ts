import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { arbCubic, arbPoint } from '../../test/support/geometry-arbitraries.js';
import {
  at,
  crossingsWithLine,
  cubic,
  curvatureRange,
  curveLength,
  distance,
  endDirection,
  flatten,
  line,
  nearestParameter,
  pointAt,
  quadratureLength,
  reversed,
  splitCurveAtLength,
  startDirection,
  type CubicBezier,
} from './index.js';

const TOLERANCE_MM = 0.01;
const PRECISE_MM = 0.001; // for measuring results: ten times finer than what is under test

describe('splitCurveAtLength', () => {
  describe('checked by hand', () => {
    it('cuts a straight 300 mm seam at 100 mm', () => {
      const { head } = splitCurveAtLength(straight(300), 100, TOLERANCE_MM);
      expect(pointAt(head, 1).x).toBeCloseTo(100, 2);
      expect(pointAt(head, 1).y).toBe(0);
    });

    it('cuts a quarter circle in half on its diagonal', () => {
      const arc = quarterCircle(250);
      const { tail } = splitCurveAtLength(arc, curveLength(arc, PRECISE_MM) / 2, PRECISE_MM);
      expect(tail.p0.x).toBeCloseTo(tail.p0.y, 2);
    });
  });

  describe('true of every curve', () => {
    it('gives a head of the length asked for', () => {
      check((curve, lengthMm) => {
        const { head } = splitCurveAtLength(curve, lengthMm, TOLERANCE_MM);
        expectWithin(curveLength(head, PRECISE_MM), lengthMm, TOLERANCE_MM + PRECISE_MM);
      });
    });

    it('leaves no gap at the cut and loses no length to it', () => {
      check((curve, lengthMm, totalMm) => {
        const { head, tail } = splitCurveAtLength(curve, lengthMm, TOLERANCE_MM);
        expect(head.kind === 'cubic' && head.p3).toEqual(tail.p0);
        expectWithin(curveLength(head, PRECISE_MM) + curveLength(tail, PRECISE_MM), totalMm, 3 * PRECISE_MM);
      });
    });

    it('cuts at the same place from either end', () => {
      check((curve, lengthMm, totalMm) => {
        const { tail } = splitCurveAtLength(curve, lengthMm, TOLERANCE_MM);
        const { head } = splitCurveAtLength(reversed(curve), totalMm - lengthMm, TOLERANCE_MM);
        expectWithin(
          curveLength(head, PRECISE_MM),
          curveLength(tail, PRECISE_MM),
          2 * TOLERANCE_MM + 3 * PRECISE_MM,
        );
      });
    });
  });

  it.each([
    ['a length past the end', 300.5, TOLERANCE_MM, 'LENGTH_OUT_OF_RANGE'],
    ['a negative length', -1, TOLERANCE_MM, 'LENGTH_OUT_OF_RANGE'],
    ['a length that is not a number', Number.NaN, TOLERANCE_MM, 'NON_FINITE'],
    ['a tolerance of zero', 100, 0, 'TOLERANCE_TOO_FINE'],
  ])('refuses %s', (_, lengthMm, toleranceMm, code) => {
    expect(() => splitCurveAtLength(straight(300), lengthMm, toleranceMm)).toThrow(
      expect.objectContaining({ code }),
    );
  });
});

describe('curveLength', () => {
  // The oracle must not be the code under test: a parabola's length has a closed form.
  it.each([1, 0.1, 0.01, 0.0001])(
    'agrees with the closed form for a parabola within %f mm',
    (toleranceMm) => {
      expectWithin(curveLength(parabola(400, 150), toleranceMm), parabolaLength(400, 150), toleranceMm);
    },
  );

  it('counts a doubled-back line both ways', () => {
    const thereAndBack = cubic(at(0, 0), at(400, 0), at(400, 0), at(0, 0)); // turns at x = 300
    expectWithin(curveLength(thereAndBack, TOLERANCE_MM), 600, TOLERANCE_MM);
  });

  it.each([5e-324, 1e-200, 1e-160])(
    'is measured at once where the chord is as good as nothing: %d mm',
    (size) => {
      const curve = cubic(at(0, 0), at(300, 40), at(-300, 40), at(size, 0));
      expectWithin(curveLength(curve, 0.001), denseChordsMm(curve, 20_000), 0.002);
    },
  );

  it('lies between dense chords and dense chords plus their own error', () => {
    fc.assert(
      fc.property(arbCubic, (curve) => {
        const chords = denseChordsMm(curve, 4_000);
        const lengthMm = curveLength(curve, PRECISE_MM);
        expect(lengthMm).toBeGreaterThanOrEqual(chords - PRECISE_MM);
        expect(lengthMm).toBeLessThanOrEqual(chords + PRECISE_MM + 0.05);
      }),
      { numRuns: 50 },
    );
  });
});

describe('quadratureLength', () => {
  it('agrees with the closed form for a parabola to a millionth of a millimetre', () => {
    expectWithin(quadratureLength(parabola(400, 150)), parabolaLength(400, 150), 1e-6);
  });
});

describe('crossingsWithLine', () => {
  it('finds points that lie on both', () => {
    fc.assert(
      fc.property(
        arbCubic,
        arbPoint,
        fc.double({ min: 0, max: Math.PI, noNaN: true }),
        (curve, origin, angle) => {
          const towards = at(Math.cos(angle), Math.sin(angle));
          for (const t of crossingsWithLine(curve, origin, towards)) {
            const p = pointAt(curve, t);
            const off = (p.x - origin.x) * -towards.y + (p.y - origin.y) * towards.x;
            expectWithin(off, 0, 1e-8);
          }
        },
      ),
    );
  });

  it('misses no change of side between samples', () => {
    fc.assert(
      fc.property(arbCubic, fc.double({ min: -2_000, max: 2_000, noNaN: true }), (curve, level) => {
        const offs = Array.from({ length: 201 }, (_, i) => pointAt(curve, i / 200).y - level);
        const sides = offs.map((off) => (Math.abs(off) < 1e-9 ? 0 : Math.sign(off)));
        const changes = sides.filter((side, i) => i > 0 && side * sides[i - 1] < 0).length;
        expect(crossingsWithLine(curve, at(0, level), at(1, 0)).length).toBeGreaterThanOrEqual(
          Math.min(1, changes),
        );
      }),
    );
  });
});

describe('flatten', () => {
  it('keeps every chord within the tolerance of the curve', () => {
    fc.assert(
      fc.property(arbCubic, (curve) => {
        const points = flatten(curve, 0.5);
        const count = points.length - 1;
        for (let i = 0; i < count; i += Math.ceil(count / 20)) {
          const middle = pointAt(curve, (i + 0.5) / count);
          expect(distanceToSegment(middle, points[i], points[i + 1])).toBeLessThanOrEqual(0.5 + 1e-9);
        }
      }),
      { numRuns: 50 },
    );
  });
});

describe('directions', () => {
  it('take the next control point where a handle has no length', () => {
    const hooked = cubic(at(0, 0), at(0, 0), at(10, 10), at(20, 10));
    expect(startDirection(hooked).x).toBeCloseTo(Math.SQRT1_2, 12);
    expect(endDirection(reversed(hooked)).x).toBeCloseTo(-Math.SQRT1_2, 12);
  });

  it('refuse a curve that is one point', () => {
    expect(() => startDirection(line(at(1, 1), at(1, 1)))).toThrow(
      expect.objectContaining({ code: 'NO_DIRECTION' }),
    );
  });
});

describe('curvatureRange', () => {
  // Closed form: at its top the radius of a parabola is span^2 / (8 height).
  it('reads the radius at the top of a parabola', () => {
    const { min, max } = curvatureRange(parabola(400, 150), 64);
    expectWithin(-1 / min, 400 ** 2 / (8 * 150), 1e-9);
    expect(max).toBeLessThan(0);
  });
});

describe('nearestParameter', () => {
  it('is nearer than every sample', () => {
    fc.assert(
      fc.property(arbCubic, arbPoint, (curve, p) => {
        const nearestMm = distance(pointAt(curve, nearestParameter(curve, p)), p);
        for (let i = 0; i <= 64; i++)
          expect(nearestMm).toBeLessThanOrEqual(distance(pointAt(curve, i / 64), p) + 1e-6);
      }),
    );
  });
});

/** Run `body` on many curves, each with a length to cut at, from 0 to the whole. */
function check(body: (curve: CubicBezier, lengthMm: number, totalMm: number) => void): void {
  const share = fc.double({ min: 0, max: 1, noNaN: true });
  fc.assert(
    fc.property(arbCubic, share, (curve, s) => {
      const totalMm = curveLength(curve, PRECISE_MM);
      body(curve, s * totalMm, totalMm);
    }),
    { interruptAfterTimeLimit: 4_000 },
  );
}

function expectWithin(actualMm: number, expectedMm: number, toleranceMm: number): void {
  expect(Math.abs(actualMm - expectedMm)).toBeLessThanOrEqual(toleranceMm);
}

function denseChordsMm(curve: CubicBezier, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += distance(pointAt(curve, i / count), pointAt(curve, (i + 1) / count));
  return sum;
}

function distanceToSegment(
  p: { x: number; y: number },
  a: { x: number; y: number },
  b: { x: number; y: number },
): number {
  const lengthSquared = (b.x - a.x) ** 2 + (b.y - a.y) ** 2;
  const t =
    lengthSquared === 0
      ? 0
      : Math.max(0, Math.min(1, ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / lengthSquared));
  return distance(p, at(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)));
}

const straight = (mm: number): CubicBezier => cubic(at(0, 0), at(mm / 3, 0), at((2 * mm) / 3, 0), at(mm, 0));

function quarterCircle(radiusMm: number): CubicBezier {
  const k = (4 / 3) * Math.tan(Math.PI / 8) * radiusMm;
  return cubic(at(radiusMm, 0), at(radiusMm, k), at(k, radiusMm), at(0, radiusMm));
}

// y = height (1 - (2x/span - 1)^2) over 0..span, as a cubic: a quadratic raised by one degree.
function parabola(spanMm: number, heightMm: number): CubicBezier {
  const top = (4 / 3) * heightMm;
  return cubic(at(0, 0), at(spanMm / 3, top), at((2 * spanMm) / 3, top), at(spanMm, 0));
}

function parabolaLength(spanMm: number, heightMm: number): number {
  const a = (4 * heightMm) / spanMm; // slope at the foot
  return (spanMm / 2) * (Math.sqrt(1 + a * a) + Math.asinh(a) / a);
}
