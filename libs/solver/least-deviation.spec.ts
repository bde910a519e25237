import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { solveLeastDeviation, type LeastDeviationProblem, type SolverLimits } from './index.js';

const LIMITS: SolverLimits = {
  iterationsMax: 100,
  equationTolerance: 1e-10,
  stepTolerance: 1e-8,
  stepMax: 10,
};

describe('solveLeastDeviation', () => {
  // Closed form: the foot of the perpendicular from a point to a plane.
  it('drops a perpendicular onto a plane', () => {
    const result = solveLeastDeviation(
      problem({
        start: [3, -2, 5],
        equationCount: 1,
        residualCount: 3,
        evaluate: (p, equations, residuals) => {
          equations[0] = p[0] + 2 * p[1] + 2 * p[2] - 18;
          residuals.set([p[0] - 3, p[1] + 2, p[2] - 5]);
        },
      }),
      LIMITS,
    );
    const off = (18 - (3 - 4 + 10)) / 9;
    expect(result.state).toBe('solved');
    [3 + off, -2 + 2 * off, 5 + 2 * off].forEach((value, i) => expect(result.p[i]).toBeCloseTo(value, 8));
  });

  // Problem 71 of Hock & Schittkowski's collection, as a least deviation: nearest point of the same curve, by substitution.
  it('finds the nearest point of a hyperbola', () => {
    const result = solveLeastDeviation(
      problem({
        start: [3, 1],
        equationCount: 1,
        residualCount: 2,
        evaluate: (p, equations, residuals) => {
          equations[0] = p[0] * p[1] - 4;
          residuals.set([p[0], p[1]]);
        },
      }),
      LIMITS,
    );
    expect(result.p[0]).toBeCloseTo(2, 6);
    expect(result.p[1]).toBeCloseTo(2, 6);
  });

  // Closed form: a separable box-bounded least-squares problem clips each unknown on its own.
  it('clips a separable problem at its bounds', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -20, max: 20, noNaN: true }), { minLength: 1, maxLength: 6 }),
        (wanted) => {
          const result = solveLeastDeviation(
            problem({
              start: wanted.map(() => 0),
              lower: wanted.map(() => -5),
              upper: wanted.map(() => 7),
              equationCount: 0,
              residualCount: wanted.length,
              evaluate: (p, _equations, residuals) =>
                wanted.forEach((value, i) => (residuals[i] = p[i] - value)),
            }),
            LIMITS,
          );
          wanted.forEach((value, i) => expect(result.p[i]).toBeCloseTo(Math.min(7, Math.max(-5, value)), 6));
        },
      ),
    );
  });

  it('lets go of a bound that the equations no longer need', () => {
    const result = solveLeastDeviation(
      problem({
        start: [4, 0],
        lower: [-10, -10],
        upper: [4, 10],
        equationCount: 1,
        residualCount: 2,
        evaluate: (p, equations, residuals) => {
          equations[0] = p[0] + p[1] - 2;
          residuals.set([p[0], p[1]]);
        },
      }),
      LIMITS,
    );
    expect(result.state).toBe('solved');
    expect(Array.from(result.held)).toEqual([0, 0]);
    expect(result.p[0]).toBeCloseTo(1, 8);
  });

  it.each([
    ['equations that contradict each other', (p: Float64Array) => [p[0] - 1, p[0] - 2]],
    ['an equation out of reach of the bounds', (p: Float64Array) => [p[0] - 100, p[1]]],
    ['a model without a value', () => [Number.NaN, 0]],
  ])('says so for %s', (_, equationsAt) => {
    const result = solveLeastDeviation(
      problem({
        start: [0, 0],
        lower: [-5, -5],
        upper: [5, 5],
        equationCount: 2,
        residualCount: 2,
        evaluate: (p, equations, residuals) => {
          equations.set(equationsAt(p));
          residuals.set([p[0], p[1]]);
        },
      }),
      LIMITS,
    );
    expect(result.state).not.toBe('solved');
  });
});

function problem(
  given: Omit<LeastDeviationProblem, 'start' | 'lower' | 'upper' | 'deviation'> & {
    start: number[];
    lower?: number[];
    upper?: number[];
  },
): LeastDeviationProblem {
  return {
    ...given,
    start: Float64Array.from(given.start),
    lower: Float64Array.from(given.lower ?? given.start.map(() => -1e6)),
    upper: Float64Array.from(given.upper ?? given.start.map(() => 1e6)),
    deviation: Float64Array.from(given.start, () => 1),
  };
}
