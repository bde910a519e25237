import { solveLeastDeviation, type LeastDeviationProblem, type SolverLimits } from './least-deviation.js';

/** The nearest that equations can be brought to holding when none of them must, and what is in the way. */
export interface LeastShortfall {
  /** Every equation's error at the nearest point, in its own unit. */
  readonly equations: Float64Array;
  /** The equation that misses most, by its index; -1 where there are none. */
  readonly blocking: number;
  /** Its error; 0 where there are none. */
  readonly shortfall: number;
  /** The unknowns that have run out there: -1 at the lower bound, +1 at the upper, 0 between. */
  readonly held: Int8Array;
}

/**
 * What is in the way of a problem that `solveLeastDeviation` did not solve.
 *
 * Every equation becomes one more residual, `equationDeviation` of error counting as one deviation; the sum of squares
 * then has a minimum wherever the problem is defined. Of equations that contradict each other, each misses a part.
 *
 * Accuracy  the residuals of the problem pull too: by about `equationDeviation` squared times their slope. Choose it a
 *           tenth of an error that matters.
 * Errors    none thrown; a problem without a value at its start gives its equations as they are there.
 * Cost      as one solve.
 */
export function leastShortfall(
  problem: LeastDeviationProblem,
  limits: SolverLimits,
  equationDeviation: number,
): LeastShortfall {
  const { equationCount, residualCount } = problem;
  const errors = new Float64Array(equationCount);
  const elastic: LeastDeviationProblem = {
    ...problem,
    equationCount: 0,
    residualCount: residualCount + equationCount,
    evaluate: (p, _equations, residuals) => {
      problem.evaluate(p, errors, residuals);
      errors.forEach((error, i) => (residuals[residualCount + i] = error / equationDeviation));
    },
  };
  const { p, held } = solveLeastDeviation(elastic, limits);
  const equations = new Float64Array(equationCount);
  problem.evaluate(p, equations, new Float64Array(residualCount));
  let blocking = -1;
  equations.forEach((error, i) => {
    if (blocking < 0 || Math.abs(error) > Math.abs(equations[blocking])) blocking = i;
  });
  return { equations, blocking, shortfall: blocking < 0 ? 0 : equations[blocking], held };
}
