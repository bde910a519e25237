import { boundedStep, stepRoom, type BoundedStep, type StepModel, type StepRoom } from './bounded-step.js';

/** Unknowns with bounds and deviations, equations that must hold, and residuals to keep small. */
export interface LeastDeviationProblem {
  readonly start: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** The size of an ordinary change of each unknown; steps and differences are taken in it. */
  readonly deviation: Float64Array;
  readonly equationCount: number;
  readonly residualCount: number;
  /**
   * Write the equations' values and the residuals at `p`. Smooth within the bounds; a place where the model is
   * undefined writes NaN, and the search steps back from it.
   */
  evaluate(p: Float64Array, equations: Float64Array, residuals: Float64Array): void;
}

export interface SolverLimits {
  readonly iterationsMax: number;
  /** Stop when every equation is within this. */
  readonly equationTolerance: number;
  /** ... and the last step was shorter than this, in deviations; what is left is a small share of it. */
  readonly stepTolerance: number;
  /** No unknown moves further than this in one step, in deviations. */
  readonly stepMax: number;
  /**
   * ... or when two steps in turn took less than this share off half the sum of squares: for problems whose residuals
   * are so steep that the last digits of the unknowns are worth nothing. Left out, steps alone decide.
   */
  readonly gainTolerance?: number;
}

export interface LeastDeviationResult {
  readonly state: 'solved' | 'stalled' | 'singular' | 'undefined-at-start';
  readonly p: Float64Array;
  readonly iterations: number;
  /** The largest equation error at `p`, in the equation's own unit. */
  readonly equationError: number;
  readonly equations: Float64Array;
  /** -1 at its lower bound, +1 at its upper, 0 between. */
  readonly held: Int8Array;
}

/**
 * Minimise half the sum of squared residuals subject to the equations and the bounds.
 *
 * Sequential quadratic programming with the Gauss-Newton matrix: near a solution with small residuals it
 * converges like Newton's method and needs first derivatives only. Derivatives are forward differences, steps
 * are judged by an l1 merit function and halved until it falls. Equations that the bounds do not let one step reach are
 * approached by a part of the way; steps that swing about their goal are shortened to it.
 *
 * Units     the caller's; `deviation` makes unknowns comparable, equations should share one unit.
 * Accuracy  state 'solved' promises `equationError < equationTolerance` at `p`, and that `p` lies within its bounds
 *           exactly; with `gainTolerance`, that the last two steps gained less than that. It is a local minimum near `start`, not a global one.
 * Errors    none thrown; see `state`. 'stalled' leaves the best point reached. Which equation is in the way, and by how
 *           much, is `leastShortfall`'s to say.
 * Edges     no randomness and no clock: the same problem gives the same bits.
 * Cost      (n + about 2) evaluations an iteration and one dense solve of n + m; never more than
 *           `evaluationsMax(n, limits)` evaluations.
 * Source    Nocedal & Wright, "Numerical Optimization", 2nd ed., chapter 18, from memory.
 */
export function solveLeastDeviation(
  problem: LeastDeviationProblem,
  limits: SolverLimits,
): LeastDeviationResult {
  let here = evaluationAt(problem, problem.start);
  if (!isDefined(here)) return resultOf('undefined-at-start', here, 0, problem);
  let held: Int8Array = new Int8Array(problem.start.length);
  let weight = MERIT_WEIGHT_START;
  let idle = 0;
  let lastStep: Float64Array | undefined;
  const work = workspaceFor(problem);
  const room = stepRoom(problem.start.length, problem.equationCount);
  for (let iteration = 1; iteration <= limits.iterationsMax; iteration++) {
    const model = modelAt(problem, here, work);
    const bounded = reachableStep(model, held, room);
    if (bounded === 'singular') return resultOf('singular', here, iteration, problem);
    held = bounded.held;
    const lengthDeviations = largest(bounded.step);
    const settled = lengthDeviations < limits.stepTolerance;
    if (settled && here.equationError < limits.equationTolerance)
      return resultOf('solved', here, iteration, problem);
    weight = Math.max(weight, 2 * largest(bounded.multipliers));
    const first = Math.min(limits.stepMax / lengthDeviations, 1 / (1 + swing(bounded.step, lastStep)));
    lastStep = bounded.step;
    const next = searchAlong(problem, here, model, bounded, { first, weight });
    if (next === undefined)
      return resultOf(
        here.equationError < limits.equationTolerance ? 'solved' : 'stalled',
        here,
        iteration,
        problem,
      );
    idle = gainsNothing(here, next, limits) ? idle + 1 : 0;
    here = next;
    if (idle >= IDLE_STEPS_MAX && here.equationError < limits.equationTolerance)
      return resultOf('solved', here, iteration, problem);
    if (lengthDeviations < limits.stepTolerance && here.equationError < limits.equationTolerance) {
      return resultOf('solved', here, iteration, problem);
    }
  }
  return resultOf('stalled', here, limits.iterationsMax, problem);
}

function gainsNothing(here: Evaluation, next: Evaluation, { gainTolerance }: SolverLimits): boolean {
  if (gainTolerance === undefined) return false;
  const before = halfSquares(here.residuals);
  return before - halfSquares(next.residuals) < gainTolerance * before;
}

/** One step without a gain may be a step round a corner. */
const IDLE_STEPS_MAX = 2;

/** The most evaluations that a search over `unknowns` makes. */
export function evaluationsMax(unknowns: number, { iterationsMax }: SolverLimits): number {
  return 1 + iterationsMax * (unknowns + HALVINGS_MAX);
}

interface ReachableStep extends BoundedStep {
  /** The share of the equations' errors that the step is made to take away. */
  readonly reach: number;
}

// Within the bounds the linear equations may have no solution although the curved ones do: a start far away, a bound
// near by. A part of the way can be gone all the same, and from there they look otherwise.
function reachableStep(model: StepModel, held: Int8Array, room: StepRoom): ReachableStep | 'singular' {
  for (let halving = 0, reach = 1; halving <= REACH_HALVINGS_MAX; halving++, reach /= 2) {
    const equationValues = reach === 1 ? model.equationValues : model.equationValues.map((c) => c * reach);
    const bounded = boundedStep({ ...model, equationValues }, held, room);
    if (bounded !== 'singular') return { ...bounded, reach };
  }
  return 'singular';
}

/** A step that may not take away a sixteenth of the errors leads nowhere. */
const REACH_HALVINGS_MAX = 4;

/**
 * How much of the last step this one takes back, 0 to 1; under `SWING_MIN` it counts as nothing.
 *
 * The Gauss-Newton matrix leaves out how residuals and equations bend. Where that is most of the bend, the search swings
 * about its goal: steps take turns, each a little shorter than the one before. Two that go against each other in the
 * ratio r have their common goal 1 / (1 + r) along the second.
 */
function swing(step: Float64Array, last: Float64Array | undefined): number {
  if (last === undefined) return 0;
  let along = 0;
  let squares = 0;
  for (let i = 0; i < step.length; i++) {
    along += step[i] * last[i];
    squares += last[i] * last[i];
  }
  const back = Math.min(1, -along / squares);
  return back > SWING_MIN ? back : 0;
}

/** A search that overshoots by less than this ends as soon without help. */
const SWING_MIN = 0.4;

/** What one unit of equation error costs against half a squared deviation before multipliers are known. */
const MERIT_WEIGHT_START = 1;

/** Share of the predicted gain a step must deliver; the usual small value, it only forbids steps that gain nothing. */
const SUFFICIENT_GAIN = 1e-4;

/** 2^-30 of a step is nothing; the search has then failed. */
const HALVINGS_MAX = 30;

/**
 * Width of forward differences in deviations.
 *
 * The slope is off by about this much of the curvature, so each step of the search leaves that share of the error of
 * the step before: two or three steps more than exact slopes would need at 1e-3, none at 1e-6. Smaller would let
 * rounding in (1e-13 of a metre-long seam over the width).
 */
const DIFFERENCE = 1e-6;

interface Evaluation {
  readonly p: Float64Array;
  readonly equations: Float64Array;
  readonly residuals: Float64Array;
  readonly equationError: number;
}

function evaluationAt(problem: LeastDeviationProblem, p: Float64Array): Evaluation {
  const equations = new Float64Array(problem.equationCount);
  const residuals = new Float64Array(problem.residualCount);
  problem.evaluate(p, equations, residuals);
  return { p, equations, residuals, equationError: largest(equations) };
}

function isDefined(evaluation: Evaluation): boolean {
  return evaluation.equations.every(Number.isFinite) && evaluation.residuals.every(Number.isFinite);
}

/** Arrays that every iteration fills anew; allocating them each time costs as much as filling them. */
interface Workspace {
  readonly jacobian: Float64Array;
  readonly slopes: Float64Array;
  readonly hessian: Float64Array;
  readonly gradient: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly stepEquations: Float64Array;
  readonly stepResiduals: Float64Array;
}

function workspaceFor({ start, equationCount: m, residualCount: k }: LeastDeviationProblem): Workspace {
  const n = start.length;
  return {
    jacobian: new Float64Array(m * n),
    slopes: new Float64Array(k * n),
    hessian: new Float64Array(n * n),
    gradient: new Float64Array(n),
    lower: new Float64Array(n),
    upper: new Float64Array(n),
    stepEquations: new Float64Array(m),
    stepResiduals: new Float64Array(k),
  };
}

function modelAt(problem: LeastDeviationProblem, here: Evaluation, work: Workspace): StepModel {
  const n = here.p.length;
  const m = problem.equationCount;
  const k = problem.residualCount;
  const { jacobian, slopes, stepEquations, stepResiduals, lower, upper } = work;
  const p = here.p.slice();
  for (let i = 0; i < n; i++) {
    const deviation = problem.deviation[i];
    p[i] = here.p[i] + DIFFERENCE * deviation;
    problem.evaluate(p, stepEquations, stepResiduals);
    p[i] = here.p[i];
    for (let e = 0; e < m; e++) jacobian[e * n + i] = (stepEquations[e] - here.equations[e]) / DIFFERENCE;
    for (let r = 0; r < k; r++) slopes[r * n + i] = (stepResiduals[r] - here.residuals[r]) / DIFFERENCE;
    lower[i] = (problem.lower[i] - here.p[i]) / deviation;
    upper[i] = (problem.upper[i] - here.p[i]) / deviation;
  }
  fillNormalEquations(work, here.residuals, n);
  return { unknowns: n, equations: m, equationValues: here.equations, ...work };
}

// Most residuals depend on one or a few unknowns: rows are short, and the matrix is symmetric.
function fillNormalEquations(
  { slopes, hessian, gradient }: Workspace,
  residuals: Float64Array,
  n: number,
): void {
  hessian.fill(0);
  gradient.fill(0);
  for (let r = 0; r < residuals.length; r++) {
    const row = r * n;
    for (let i = 0; i < n; i++) {
      const slope = slopes[row + i];
      if (slope === 0) continue;
      gradient[i] += slope * residuals[r];
      for (let j = i; j < n; j++) hessian[i * n + j] += slope * slopes[row + j];
    }
  }
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) hessian[i * n + j] = hessian[j * n + i];
}

function searchAlong(
  problem: LeastDeviationProblem,
  here: Evaluation,
  model: StepModel,
  { step, reach }: ReachableStep,
  trial: { readonly first: number; readonly weight: number },
): Evaluation | undefined {
  const merit = (evaluation: Evaluation): number =>
    trial.weight * sumAbsolute(evaluation.equations) + halfSquares(evaluation.residuals);
  const before = merit(here);
  const slope =
    model.gradient.reduce((sum, g, i) => sum + g * step[i], 0) -
    trial.weight * reach * sumAbsolute(here.equations);
  let share = trial.first;
  for (let halving = 0; halving < HALVINGS_MAX; halving++, share /= 2) {
    const next = evaluationAt(problem, stepped(problem, here.p, step, share));
    if (!isDefined(next)) continue;
    const gain = before - merit(next);
    // At the bottom both sides are rounding: a step that loses less than that is still progress of the equations.
    const rounding = MERIT_ROUNDING * Math.max(1, before);
    if (gain >= -SUFFICIENT_GAIN * share * slope - rounding) return next;
  }
  return undefined;
}

/** Relative rounding of the merit: about a hundred additions of doubles and lengths good to 1e-12. */
const MERIT_ROUNDING = 1e-11;

/** Nearer to a bound than this, in deviations, is at it: what rounding leaves of a step that was made to end there. */
const BOUND_ROUNDING = 1e-9;

// Within the bounds exactly, and on a bound exactly, so that "at its bound" can be tested with ===.
function stepped(
  problem: LeastDeviationProblem,
  p: Float64Array,
  step: Float64Array,
  share: number,
): Float64Array {
  return p.map((value, i) => {
    const moved = value + share * step[i] * problem.deviation[i];
    const rounding = BOUND_ROUNDING * problem.deviation[i];
    if (moved <= problem.lower[i] + rounding) return problem.lower[i];
    if (moved >= problem.upper[i] - rounding) return problem.upper[i];
    return moved;
  });
}

function resultOf(
  state: LeastDeviationResult['state'],
  here: Evaluation,
  iterations: number,
  problem: LeastDeviationProblem,
): LeastDeviationResult {
  const held = Int8Array.from(here.p, (value, i) =>
    value <= problem.lower[i] ? -1 : value >= problem.upper[i] ? 1 : 0,
  );
  return { state, p: here.p, iterations, equationError: here.equationError, equations: here.equations, held };
}

function largest(values: Float64Array): number {
  let worst = 0;
  for (const value of values) {
    const size = Math.abs(value);
    if (!(size <= worst)) worst = size;
  }
  return worst;
}

function sumAbsolute(values: Float64Array): number {
  return values.reduce((sum, value) => sum + Math.abs(value), 0);
}

function halfSquares(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value * value, 0) / 2;
}
