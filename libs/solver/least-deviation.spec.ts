import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import {
  evaluationsMax,
  leastShortfall,
  solveLeastDeviation,
  type LeastDeviationProblem,
  type SolverLimits,
} from './index.js';

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

  // Closed form: Gauss-Newton halves the way to the foot of x^4 with every step, and never is there.
  it('ends a search whose steps gain next to nothing where it is told that this is enough, and only there', () => {
    const flat = problem({
      start: [2],
      equationCount: 0,
      residualCount: 2,
      evaluate: (p, _, residuals) => {
        residuals.set([p[0] * p[0], 3]);
      },
    });
    const whole = solveLeastDeviation(flat, LIMITS);
    const enough = solveLeastDeviation(flat, { ...LIMITS, gainTolerance: 1e-3 });
    expect(whole.p[0]).toBeLessThan(2e-7);
    expect(enough.state).toBe('solved');
    // From a quarter on a step takes less than a thousandth off half the squares, which are 4.5: two more, and it ends.
    expect(enough.p[0]).toBeCloseTo(1 / 16, 3);
    expect(enough.iterations).toBeLessThan(whole.iterations / 3);
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

// Problems of Hock & Schittkowski, "Test Examples for Nonlinear Programming Codes", 1981, that are sums of squares with
// equations: starts and optima as printed there, from memory; each optimum is checked against its own equations here.
describe('on published problems', () => {
  it.each<[string, Parameters<typeof problem>[0], number[]]>([
    [
      '6: a curved valley',
      {
        start: [-1.2, 1],
        equationCount: 1,
        residualCount: 1,
        evaluate: (p, equations, residuals) => {
          residuals[0] = 1 - p[0];
          equations[0] = 10 * (p[1] - p[0] * p[0]);
        },
      },
      [1, 1],
    ],
    [
      '28: two squares on a plane',
      {
        start: [-4, 1, 1],
        equationCount: 1,
        residualCount: 2,
        evaluate: (p, equations, residuals) => {
          residuals.set([p[0] + p[1], p[1] + p[2]]);
          equations[0] = p[0] + 2 * p[1] + 3 * p[2] - 1;
        },
      },
      [0.5, -0.5, 0.5],
    ],
    [
      '48: three squares on two planes',
      {
        start: [3, 5, -3, 2, -2],
        equationCount: 2,
        residualCount: 3,
        evaluate: (p, equations, residuals) => {
          residuals.set([p[0] - 1, p[1] - p[2], p[3] - p[4]]);
          equations.set([p[0] + p[1] + p[2] + p[3] + p[4] - 5, p[2] - 2 * (p[3] + p[4]) + 3]);
        },
      },
      [1, 1, 1, 1, 1],
    ],
  ])('finds the optimum of %s', (_, given, optimum) => {
    const result = solveLeastDeviation(
      problem({
        ...given,
        evaluate: keepingDefinite(given.evaluate, given.residualCount),
        residualCount: given.residualCount + given.start.length,
      }),
      LIMITS,
    );
    expect(result.state).toBe('solved');
    optimum.forEach((value, i) => expect(Math.abs(result.p[i] - value)).toBeLessThan(1e-4));
  });
});

describe('its bounds on work', () => {
  it.each([1, 3, 20])('makes no more evaluations in %d iterations than it says', (iterationsMax) => {
    const limits = { ...LIMITS, iterationsMax };
    let evaluations = 0;
    // The equations have no solution: the search never ends of itself.
    const hopeless = problem({
      start: [0, 0],
      lower: [-5, -5],
      upper: [5, 5],
      equationCount: 1,
      residualCount: 2,
      evaluate: (p, equations, residuals) => {
        evaluations += 1;
        equations[0] = p[0] * p[0] + p[1] * p[1] + 1 + 0.1 * Math.sin(50 * p[0]);
        residuals.set([p[0] - 3, p[1] + 2]);
      },
    });
    const result = solveLeastDeviation(hopeless, limits);
    expect(result.state).not.toBe('solved');
    expect(result.iterations).toBeLessThanOrEqual(iterationsMax);
    expect(evaluations).toBeLessThanOrEqual(evaluationsMax(2, limits));
  });

  it('gives the same bits every time', () => {
    const once = (): unknown => solveLeastDeviation(hyperbola(), LIMITS);
    expect(once()).toEqual(once());
  });

  // Closed form: (p^2 / 2 + 0.9) p + p - 0.5835 is zero at 0.3. The Gauss-Newton matrix there is 1.09 where the true bend
  // is 2.035, so plain steps swing by 0.87 of the one before: 130 of them to the tolerance.
  it('comes to rest where steps would swing about their goal', () => {
    const swinging = problem({
      start: [2],
      equationCount: 0,
      residualCount: 2,
      evaluate: (p, _equations, residuals) => {
        residuals.set([(p[0] * p[0]) / 2 + 0.9, p[0] - 0.5835]);
      },
    });
    const result = solveLeastDeviation(swinging, LIMITS);
    expect(result.state).toBe('solved');
    expect(Math.abs(result.p[0] - 0.3)).toBeLessThan(1e-6);
    expect(result.iterations).toBeLessThan(30);
  });

  it('goes part of the way where the bounds do not let one step reach the equations', () => {
    // From 0.5 the tangent of p squared meets 9 at 9.25, behind the bound at 4; the curve meets it at 3.
    const result = solveLeastDeviation(
      problem({
        start: [0.5],
        lower: [0],
        upper: [4],
        equationCount: 1,
        residualCount: 1,
        evaluate: (p, equations, residuals) => {
          equations[0] = p[0] * p[0] - 9;
          residuals[0] = p[0];
        },
      }),
      LIMITS,
    );
    expect(result.state).toBe('solved');
    expect(result.p[0]).toBeCloseTo(3, 8);
  });
});

describe('leastShortfall', () => {
  // Closed form: within the bounds the equation p0 + p1 = 12 comes to 10 at the most.
  it('names the equation that the bounds keep from holding, by how much, and the bounds', () => {
    const { blocking, shortfall, held } = leastShortfall(
      problem({
        start: [0, 0, 0],
        lower: [-5, -5, -5],
        upper: [5, 5, 5],
        equationCount: 2,
        residualCount: 3,
        evaluate: (p, equations, residuals) => {
          equations.set([p[2] - 1, p[0] + p[1] - 12]);
          residuals.set([p[0], p[1], p[2]]);
        },
      }),
      LIMITS,
      0.01,
    );
    expect(blocking).toBe(1);
    expect(shortfall).toBeCloseTo(-2, 3);
    expect(Array.from(held)).toEqual([1, 1, 0]);
  });

  // Closed form: least squares of p = 1 and p = 4 is 2.5.
  it('shares the miss between equations that contradict each other', () => {
    const { equations, shortfall } = leastShortfall(
      problem({
        start: [0],
        equationCount: 2,
        residualCount: 1,
        evaluate: (p, values, residuals) => {
          values.set([p[0] - 1, p[0] - 4]);
          residuals[0] = 0;
        },
      }),
      LIMITS,
      1,
    );
    expect(Array.from(equations, (value) => Math.round(value * 1e6) / 1e6)).toEqual([1.5, -1.5]);
    expect(Math.abs(shortfall)).toBeCloseTo(1.5, 6);
  });

  it('has nothing to name where every equation holds', () => {
    expect(Math.abs(leastShortfall(hyperbola(), LIMITS, 1e-4).shortfall)).toBeLessThan(1e-6);
  });
});

function hyperbola(): LeastDeviationProblem {
  return problem({
    start: [3, 1],
    equationCount: 1,
    residualCount: 2,
    evaluate: (p, equations, residuals) => {
      equations[0] = p[0] * p[1] - 4;
      residuals.set([p[0], p[1]]);
    },
  });
}

// The solver wants every unknown to cost something, as every parameter of a block does; this is too little to see.
function keepingDefinite(
  evaluate: LeastDeviationProblem['evaluate'],
  residualCount: number,
): LeastDeviationProblem['evaluate'] {
  return (p, equations, residuals) => {
    evaluate(p, equations, residuals);
    p.forEach((value, i) => (residuals[residualCount + i] = 1e-4 * value));
  };
}

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
