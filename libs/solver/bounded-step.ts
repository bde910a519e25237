import { choleskyFactor, solveFactored } from './linear.js';

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
  const held = heldBefore.slice();
  const contradicting = new Set<number>();
  const changesMax = CHANGES_PER_UNKNOWN_MAX * model.unknowns;
  for (let change = 0; ; change++) {
    const solved = stepWithHeld(model, rows, held);
    if (solved === 'singular') {
      const index = held.findIndex((side) => side !== 0);
      if (change >= changesMax || index < 0 || contradicting.has(index)) return 'singular';
      held[index] = 0;
      contradicting.add(index);
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

/** What stays the same while unknowns are held and let go: the equations against each other, and the free step. */
interface ConstraintRows {
  /** The step without any constraint. */
  readonly free: Float64Array;
  /** What the inverse of the hessian makes of a constraint's row; filled in when first needed. */
  solved(constraint: number): Float64Array;
  /** Each equation's row against what the inverse makes of each, `equations * equations`, symmetric. */
  readonly schur: Float64Array;
  /** Each equation's row against the free step. */
  readonly freeValues: Float64Array;
}

// Constraints 0..m-1 are the equations; m+i is "unknown i stays where its bound is", whose row is all zero but for
// one 1: a product with it only picks an entry.
function constraintRows(model: StepModel): ConstraintRows | 'singular' {
  const { unknowns: n, equations: m, jacobian } = model;
  const factor = choleskyFactor(model.hessian, n, 0);
  if (factor === 'singular') return 'singular';
  const row = (equation: number): Float64Array => jacobian.subarray(equation * n, (equation + 1) * n);
  const solutions: Float64Array[] = [];
  const solved = (constraint: number): Float64Array =>
    (solutions[constraint] ??= solveFactored(
      factor,
      constraint < m ? row(constraint) : unitRow(n, constraint - m),
      n,
    ));
  const free = solveFactored(
    factor,
    model.gradient.map((g) => -g),
    n,
  );
  const schur = new Float64Array(m * m);
  const freeValues = new Float64Array(m);
  for (let r = 0; r < m; r++) {
    freeValues[r] = rowProduct(jacobian, r, n, free);
    for (let c = 0; c <= r; c++) {
      const entry = rowProduct(jacobian, r, n, solved(c));
      schur[r * m + c] = entry;
      schur[c * m + r] = entry;
    }
  }
  return { free, solved, schur, freeValues };
}

function unitRow(size: number, index: number): Float64Array {
  const row = new Float64Array(size);
  row[index] = 1;
  return row;
}

function rowProduct(matrix: Float64Array, row: number, size: number, vector: Float64Array): number {
  let sum = 0;
  for (let i = 0, at = row * size; i < size; i++, at++) sum += matrix[at] * vector[i];
  return sum;
}

interface HeldStep extends BoundedStep {
  /** Multiplier of each held unknown's bound; 0 for the free ones. */
  readonly pulls: Float64Array;
}

function stepWithHeld(model: StepModel, rows: ConstraintRows, held: Int8Array): HeldStep | 'singular' {
  const { unknowns: n, equations: m } = model;
  const bounds: number[] = [];
  for (let i = 0; i < n; i++) if (held[i] !== 0) bounds.push(i);
  const multipliers = multipliersFor(model, rows, held, bounds);
  if (multipliers === 'singular') return 'singular';
  const step = rows.free.slice();
  const pulls = new Float64Array(n);
  for (let r = 0; r < multipliers.length; r++) {
    const solved = rows.solved(r < m ? r : m + bounds[r - m]);
    for (let i = 0; i < n; i++) step[i] -= multipliers[r] * solved[i];
    if (r >= m) pulls[bounds[r - m]] = multipliers[r];
  }
  return { step, multipliers: multipliers.slice(0, m), held, pulls };
}

function multipliersFor(
  model: StepModel,
  { free, freeValues, schur, solved }: ConstraintRows,
  held: Int8Array,
  bounds: readonly number[],
): Float64Array | 'singular' {
  const { equations: m, equationValues, lower, upper } = model;
  const size = m + bounds.length;
  const matrix = new Float64Array(size * size);
  const wanted = new Float64Array(size);
  for (let e = 0; e < m; e++) {
    for (let c = 0; c <= e; c++) matrix[e * size + c] = schur[e * m + c];
    wanted[e] = freeValues[e] + equationValues[e];
  }
  for (let r = m; r < size; r++) {
    const i = bounds[r - m];
    for (let c = 0; c <= r; c++) matrix[r * size + c] = solved(c < m ? c : m + bounds[c - m])[i];
    wanted[r] = free[i] - (held[i] < 0 ? lower[i] : upper[i]);
  }
  if (size === 0) return wanted;
  const factor = choleskyFactor(matrix, size, CONSTRAINT_PIVOT_MIN);
  return factor === 'singular' ? 'singular' : solveFactored(factor, wanted, size);
}

/** Two constraints that say the same within rounding leave a pivot this small; a multiplier would be noise. */
const CONSTRAINT_PIVOT_MIN = 1e-13;

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
