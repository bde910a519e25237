import { solveLinear } from './linear.js';

/** The quadratic model of one iteration, in units of each unknown's deviation. */
export interface StepModel {
  readonly unknowns: number;
  readonly equations: number;
  /** Symmetric and positive definite, `unknowns * unknowns`. */
  readonly hessian: Float64Array;
  readonly gradient: Float64Array;
  /** `equations * unknowns`. */
  readonly jacobian: Float64Array;
  readonly equationValues: Float64Array;
  /** Room to each bound from here: `lower <= 0 <= upper`. */
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

export interface BoundedStep {
  readonly step: Float64Array;
  readonly multipliers: Float64Array;
  /** -1 held at its lower bound, +1 at its upper, 0 free. */
  readonly held: Int8Array;
}

/**
 * The step that minimises the model on the linearised equations within the bounds.
 *
 * Active set: solve with the held unknowns fixed; hold the one that overshoots its bound most; when none does,
 * let go of the held one that pulls inwards most; stop when nothing changes. Every hold or release lowers or
 * keeps the model's cost in exact arithmetic; a cycle from rounding is cut by `CHANGES_PER_UNKNOWN_MAX`.
 *
 * Errors  'singular' when the equations contradict each other in the unknowns that are left free.
 */
export function boundedStep(model: StepModel, heldBefore: Int8Array): BoundedStep | 'singular' {
  const held = Int8Array.from(heldBefore);
  const changesMax = CHANGES_PER_UNKNOWN_MAX * model.unknowns;
  for (let change = 0; ; change++) {
    const solved = stepWithHeld(model, held);
    if (solved === 'singular') {
      if (!releaseAny(held)) return 'singular';
      if (change >= changesMax) return 'singular';
      continue;
    }
    if (change >= changesMax) return { ...solved, held };
    const over = worstOvershoot(model, solved.step, held);
    if (over !== undefined) {
      held[over.index] = over.side;
      continue;
    }
    const released = worstInwardPull(model, solved, held);
    if (released === undefined) return { ...solved, held };
    held[released] = 0;
  }
}

/** A sound draft changes each unknown's standing once or twice; more is rounding going round in a circle. */
const CHANGES_PER_UNKNOWN_MAX = 3;

/** Overshoot and pull smaller than this, in deviations, are rounding. */
const SLACK = 1e-12;

function stepWithHeld(
  model: StepModel,
  held: Int8Array,
): { step: Float64Array; multipliers: Float64Array } | 'singular' {
  const { unknowns: n, equations: m, hessian, jacobian } = model;
  const free: number[] = [];
  const step = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    if (held[i] === 0) free.push(i);
    else step[i] = held[i] < 0 ? model.lower[i] : model.upper[i];
  }
  const size = free.length + m;
  const a = new Float64Array(size * size);
  const b = new Float64Array(size);
  free.forEach((i, row) => {
    free.forEach((j, column) => (a[row * size + column] = hessian[i * n + j]));
    b[row] = -model.gradient[i];
    for (let j = 0; j < n; j++) if (held[j] !== 0) b[row] -= hessian[i * n + j] * step[j];
    for (let e = 0; e < m; e++) {
      a[row * size + free.length + e] = jacobian[e * n + i];
      a[(free.length + e) * size + row] = jacobian[e * n + i];
    }
  });
  for (let e = 0; e < m; e++) {
    b[free.length + e] = -model.equationValues[e];
    for (let j = 0; j < n; j++) if (held[j] !== 0) b[free.length + e] -= jacobian[e * n + j] * step[j];
  }
  if (solveLinear(a, b, size) === 'singular') return 'singular';
  free.forEach((i, row) => (step[i] = b[row]));
  return { step, multipliers: b.slice(free.length) };
}

function worstOvershoot(
  model: StepModel,
  step: Float64Array,
  held: Int8Array,
): { index: number; side: -1 | 1 } | undefined {
  let worst = SLACK;
  let found: { index: number; side: -1 | 1 } | undefined;
  for (let i = 0; i < model.unknowns; i++) {
    if (held[i] !== 0) continue;
    const below = model.lower[i] - step[i];
    const above = step[i] - model.upper[i];
    if (Math.max(below, above) <= worst) continue;
    worst = Math.max(below, above);
    found = { index: i, side: below > above ? -1 : 1 };
  }
  return found;
}

// The slope of the Lagrangian along a held unknown: held below it must rise, held above it must fall.
function worstInwardPull(
  model: StepModel,
  solved: { step: Float64Array; multipliers: Float64Array },
  held: Int8Array,
): number | undefined {
  const { unknowns: n, equations: m } = model;
  let worst = SLACK;
  let found: number | undefined;
  for (let i = 0; i < n; i++) {
    if (held[i] === 0 || model.lower[i] === model.upper[i]) continue;
    let slope = model.gradient[i];
    for (let j = 0; j < n; j++) slope += model.hessian[i * n + j] * solved.step[j];
    for (let e = 0; e < m; e++) slope += model.jacobian[e * n + i] * solved.multipliers[e];
    const pull = held[i] < 0 ? -slope : slope;
    if (pull <= worst) continue;
    worst = pull;
    found = i;
  }
  return found;
}

function releaseAny(held: Int8Array): boolean {
  const index = held.findIndex((side) => side !== 0);
  if (index < 0) return false;
  held[index] = 0;
  return true;
}
