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
export function boundedStep(
  model: StepModel,
  heldBefore: Int8Array,
  room: StepRoom,
): BoundedStep | 'singular' {
  if (!factorModel(model, room)) return 'singular';
  const held = heldBefore.slice();
  const contradicting = new Set<number>();
  const changesMax = CHANGES_PER_UNKNOWN_MAX * model.unknowns;
  for (let change = 0; ; change++) {
    const solved = stepWithHeld(model, room, held);
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

/**
 * Arrays that every step fills anew; making them each time costs as much as filling them. What stands in them is known
 * between two calls of `boundedStep` to nobody.
 */
export interface StepRoom {
  /** Of the hessian. */
  readonly factor: Float64Array;
  /** The step without any constraint. */
  readonly free: Float64Array;
  /** What the inverse of the hessian makes of each constraint's row, one after the other. */
  readonly solutions: Float64Array;
  /** 1 where that has been worked out. */
  readonly isSolved: Uint8Array;
  /** Each equation's row against what the inverse makes of each, `equations * equations`, symmetric. */
  readonly schur: Float64Array;
  /** Each equation's row against the free step. */
  readonly freeValues: Float64Array;
  /** The constraints that hold, against each other; and its factor. */
  readonly matrix: Float64Array;
  readonly matrixFactor: Float64Array;
  readonly multipliers: Float64Array;
}

export function stepRoom(unknowns: number, equations: number): StepRoom {
  const constraints = equations + unknowns;
  return {
    factor: new Float64Array(unknowns * unknowns),
    free: new Float64Array(unknowns),
    solutions: new Float64Array(constraints * unknowns),
    isSolved: new Uint8Array(constraints),
    schur: new Float64Array(equations * equations),
    freeValues: new Float64Array(equations),
    matrix: new Float64Array(constraints * constraints),
    matrixFactor: new Float64Array(constraints * constraints),
    multipliers: new Float64Array(constraints),
  };
}

// Constraints 0..m-1 are the equations; m+i is "unknown i stays where its bound is", whose row is all zero but for
// one 1: a product with it only picks an entry.
function factorModel(model: StepModel, room: StepRoom): boolean {
  const { unknowns: n, equations: m, jacobian, gradient } = model;
  const { factor, free, solutions, schur, freeValues } = room;
  room.isSolved.fill(0);
  if (!choleskyFactor(model.hessian, n, 0, factor)) return false;
  for (let i = 0; i < n; i++) free[i] = -gradient[i];
  solveFactored(factor, n, free, 0);
  for (let r = 0; r < m; r++) {
    freeValues[r] = rowProduct(jacobian, r, n, free, 0);
    for (let c = 0; c <= r; c++) {
      const entry = rowProduct(jacobian, r, n, solutions, solvedAt(model, room, c));
      schur[r * m + c] = entry;
      schur[c * m + r] = entry;
    }
  }
  return true;
}

/** Where in `solutions` a constraint's stands; worked out when first asked for. */
function solvedAt(
  { unknowns: n, equations: m, jacobian }: StepModel,
  { factor, solutions, isSolved }: StepRoom,
  constraint: number,
): number {
  const at = constraint * n;
  if (isSolved[constraint] === 1) return at;
  isSolved[constraint] = 1;
  for (let i = 0; i < n; i++)
    solutions[at + i] = constraint < m ? jacobian[at + i] : i === constraint - m ? 1 : 0;
  solveFactored(factor, n, solutions, at);
  return at;
}

function rowProduct(
  matrix: Float64Array,
  row: number,
  size: number,
  vector: Float64Array,
  from: number,
): number {
  let sum = 0;
  for (let i = 0, at = row * size; i < size; i++, at++) sum += matrix[at] * vector[from + i];
  return sum;
}

interface HeldStep extends BoundedStep {
  /** Multiplier of each held unknown's bound; 0 for the free ones. */
  readonly pulls: Float64Array;
}

function stepWithHeld(model: StepModel, room: StepRoom, held: Int8Array): HeldStep | 'singular' {
  const { unknowns: n, equations: m } = model;
  const bounds: number[] = [];
  for (let i = 0; i < n; i++) if (held[i] !== 0) bounds.push(i);
  if (!findMultipliers(model, room, held, bounds)) return 'singular';
  const { solutions, multipliers } = room;
  const step = room.free.slice();
  const pulls = new Float64Array(n);
  for (let r = 0; r < m + bounds.length; r++) {
    const at = solvedAt(model, room, r < m ? r : m + bounds[r - m]);
    for (let i = 0; i < n; i++) step[i] -= multipliers[r] * solutions[at + i];
    if (r >= m) pulls[bounds[r - m]] = multipliers[r];
  }
  return { step, multipliers: multipliers.slice(0, m), held, pulls };
}

function findMultipliers(
  model: StepModel,
  room: StepRoom,
  held: Int8Array,
  bounds: readonly number[],
): boolean {
  const { equations: m, equationValues, lower, upper } = model;
  const { free, freeValues, schur, solutions, matrix, matrixFactor, multipliers } = room;
  const size = m + bounds.length;
  for (let e = 0; e < m; e++) {
    for (let c = 0; c <= e; c++) matrix[e * size + c] = schur[e * m + c];
    multipliers[e] = freeValues[e] + equationValues[e];
  }
  for (let r = m; r < size; r++) {
    const i = bounds[r - m];
    for (let c = 0; c <= r; c++)
      matrix[r * size + c] = solutions[solvedAt(model, room, c < m ? c : m + bounds[c - m]) + i];
    multipliers[r] = free[i] - (held[i] < 0 ? lower[i] : upper[i]);
  }
  if (size === 0) return true;
  if (!choleskyFactor(matrix, size, CONSTRAINT_PIVOT_MIN, matrixFactor)) return false;
  solveFactored(matrixFactor, size, multipliers, 0);
  return true;
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
