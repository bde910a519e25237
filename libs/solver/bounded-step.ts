import { choleskyFactor, solveFactored, solveLinear } from './linear.js';

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
  /** Of the equations. */
  readonly multipliers: Float64Array;
  /** -1 held at its lower bound, +1 at its upper, 0 free. */
  readonly held: Int8Array;
}

/**
 * The step that minimises the model on the linearised equations within the bounds.
 *
 * Active set: a held unknown is one more equation, and its multiplier says which way it pulls. Hold the unknown that
 * overshoots its bound most; when none does, let go of the held one that pulls inwards most; stop when nothing
 * changes. A cycle from rounding is cut by `CHANGES_PER_UNKNOWN_MAX`.
 *
 * Errors  'singular' when the equations contradict each other in the unknowns that are left free, or the matrix of
 *         the model is not positive definite.
 * Source  range-space method, Nocedal & Wright, "Numerical Optimization", 2nd ed., section 16.2, from memory.
 */
export function boundedStep(model: StepModel, heldBefore: Int8Array): BoundedStep | 'singular' {
  const rows = constraintRows(model);
  if (rows === 'singular') return 'singular';
  const held = Int8Array.from(heldBefore);
  const changesMax = CHANGES_PER_UNKNOWN_MAX * model.unknowns;
  for (let change = 0; ; change++) {
    const solved = stepWithHeld(model, rows, held);
    if (solved === 'singular') {
      if (change >= changesMax || !releaseAny(held)) return 'singular';
      continue;
    }
    if (change >= changesMax) return solved;
    const over = worstOvershoot(model, solved.step, held);
    if (over !== undefined) {
      held[over.index] = over.side;
      continue;
    }
    const released = worstInwardPull(model, solved);
    if (released === undefined) return solved;
    held[released] = 0;
  }
}

/** A sound draft changes each unknown's standing once or twice; more is rounding going round in a circle. */
const CHANGES_PER_UNKNOWN_MAX = 3;

/** Overshoot and pull smaller than this, in deviations, are rounding. */
const SLACK = 1e-12;

/** Each constraint's row and what the inverse of the hessian makes of it, filled in when first needed. */
interface ConstraintRows {
  readonly free: Float64Array;
  row(constraint: number): Float64Array;
  solved(constraint: number): Float64Array;
}

// Constraints 0..m-1 are the equations; m+i is "unknown i stays where its bound is".
function constraintRows(model: StepModel): ConstraintRows | 'singular' {
  const { unknowns: n, equations: m } = model;
  const factor = choleskyFactor(model.hessian, n);
  if (factor === 'singular') return 'singular';
  const rows: Float64Array[] = [];
  const solutions: Float64Array[] = [];
  const row = (constraint: number): Float64Array => {
    rows[constraint] ??=
      constraint < m
        ? model.jacobian.subarray(constraint * n, (constraint + 1) * n)
        : unitRow(n, constraint - m);
    return rows[constraint];
  };
  return {
    free: solveFactored(
      factor,
      model.gradient.map((g) => -g),
      n,
    ),
    row,
    solved: (constraint) => (solutions[constraint] ??= solveFactored(factor, row(constraint), n)),
  };
}

function unitRow(size: number, index: number): Float64Array {
  const row = new Float64Array(size);
  row[index] = 1;
  return row;
}

interface HeldStep extends BoundedStep {
  /** Multiplier of each held unknown's bound; 0 for the free ones. */
  readonly pulls: Float64Array;
}

function stepWithHeld(model: StepModel, rows: ConstraintRows, held: Int8Array): HeldStep | 'singular' {
  const { unknowns: n, equations: m } = model;
  const constraints: number[] = [];
  for (let e = 0; e < m; e++) constraints.push(e);
  for (let i = 0; i < n; i++) if (held[i] !== 0) constraints.push(m + i);
  const size = constraints.length;
  const schur = new Float64Array(size * size);
  const multipliers = new Float64Array(size);
  for (let c = 0; c < size; c++) {
    const solved = rows.solved(constraints[c]);
    for (let r = c; r < size; r++) {
      const entry = product(rows.row(constraints[r]), solved);
      schur[r * size + c] = entry;
      schur[c * size + r] = entry;
    }
    multipliers[c] = product(rows.row(constraints[c]), rows.free) - wanted(model, constraints[c], held);
  }
  if (size > 0 && solveLinear(schur, multipliers, size) === 'singular') return 'singular';
  const step = Float64Array.from(rows.free);
  const pulls = new Float64Array(n);
  for (let r = 0; r < size; r++) {
    const solved = rows.solved(constraints[r]);
    for (let i = 0; i < n; i++) step[i] -= multipliers[r] * solved[i];
    if (constraints[r] >= m) pulls[constraints[r] - m] = multipliers[r];
  }
  return { step, multipliers: multipliers.slice(0, m), held, pulls };
}

function wanted(model: StepModel, constraint: number, held: Int8Array): number {
  if (constraint < model.equations) return -model.equationValues[constraint];
  const i = constraint - model.equations;
  return held[i] < 0 ? model.lower[i] : model.upper[i];
}

function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
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

// A bound may only push outwards-in: at the lower bound its multiplier is negative, at the upper positive.
function worstInwardPull(model: StepModel, { held, pulls }: HeldStep): number | undefined {
  let worst = SLACK;
  let found: number | undefined;
  for (let i = 0; i < model.unknowns; i++) {
    if (held[i] === 0 || model.lower[i] === model.upper[i]) continue;
    const pull = held[i] < 0 ? pulls[i] : -pulls[i];
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
