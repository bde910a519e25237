import { solveLeastDeviation, type LeastDeviationProblem, type LeastDeviationResult } from '#solver';
import { characterChange, CHARACTER_SHARE_MAX } from './character.js';
import { CHANGE_NAMES, type ChangeName } from './changes.js';
import { EQUATIONS, fastFigures, GIRTHS, writeErrors, type Equation, type Girth } from './equations.js';
import { heldLines, wallCount, writeWalls, type HeldLine } from './line-walls.js';
import { linesBefore } from './lines-before.js';
import type { RedrawnBlock } from './redraw.js';
import {
  amountsOf,
  boundsFor,
  curvedStrands,
  errorsFor,
  levelsAt,
  writeCharacter,
  type Bounds,
  type FitSolution,
  type FitTask,
} from './solve-fit.js';
import { amountOf } from './stations.js';
import { LEAST_DEVIATION_MM, YIELDS } from './yields.js';

/** A split of the crotch length that moved by this costs as much as an ordinary change; softer than where lines may go. */
const SPLIT_DEVIATION_MM = 8;

/** A crease that leaves its straight by this between hip and knee, or knee and hem, costs as much as an ordinary change. */
const CREASE_DEVIATION_MM = 4;

/** How far the middle of a leg goes towards the inseam, by the seams let out there: at knee and hem, of each piece. */
const LEG_MIDDLES = [
  { knee: ['kneeFrontInseam', 'kneeFrontOutseam'], hem: ['hemFrontInseam', 'hemFrontOutseam'] },
  { knee: ['kneeBackInseam', 'kneeBackOutseam'], hem: ['hemBackInseam', 'hemBackOutseam'] },
] as const;

function writeCreases(amounts: Float64Array, residuals: Float64Array, from: number): void {
  const middle = ([inseam, outseam]: readonly [ChangeName, ChangeName]): number =>
    (amounts[amountOf(inseam)] - amounts[amountOf(outseam)]) / 2;
  LEG_MIDDLES.forEach(({ knee, hem }, i) => {
    residuals[from + 2 * i] = middle(knee) / CREASE_DEVIATION_MM;
    residuals[from + 2 * i + 1] = (middle(hem) - middle(knee)) / CREASE_DEVIATION_MM;
  });
}

/** What turned ends cost here against where no wall stands behind them. */
const TURN_SHARE = 0.3;

/** Walls end a little before what is promised: between two places a curve may change a little more. */
const WALL_SHARE = 0.97 * CHARACTER_SHARE_MAX;

/**
 * Residuals are steep here and the last digits worth nothing: two steps that gain less than a thousandth end the search.
 * A body far from the block takes some seventy.
 */
const LIMITS = {
  iterationsMax: 80,
  equationTolerance: 1e-6,
  stepTolerance: 1e-4,
  stepMax: 4,
  gainTolerance: 1e-3,
} as const;

/** A line that still stands over its wall makes all walls twice as steep, this often. */
const ROUNDS_MAX = 3;

/**
 * The least of changes that keeps every curve's line, lengths yielding in the order of `YIELDS`.
 *
 * Every length is a residual, none an equation: there is always an answer, and what does not stand in the way of a line
 * is off by hundredths of a millimetre.
 */
export function holdLine(task: FitTask): FitSolution {
  const bounds = boundsFor(task);
  const held = heldLines(task.ready, WALL_SHARE);
  let start = new Float64Array(bounds.free.length);
  let iterations = 0;
  for (let round = 0; ; round++) {
    const steepness = 2 ** round;
    const result = search(task, bounds, { held, steepness }, start);
    iterations += result.iterations;
    const amounts = amountsOf(task, bounds.free, result.p);
    if (round + 1 < ROUNDS_MAX && !isKept(task, task.redraw(amounts))) {
      start = Float64Array.from(result.p);
      continue;
    }
    const errors = errorsFor(task, amounts);
    return {
      amounts,
      solved: EQUATIONS.every((name, i) => mayYield(task, name, errors[i])),
      errors,
      held: bounds.free.flatMap((change, i) => (result.held[i] === 0 ? [] : [CHANGE_NAMES[change]])),
      iterations,
      linesBefore: linesBefore(task, bounds, held, result.p),
    };
  }
}

function isKept({ ready }: FitTask, drawn: RedrawnBlock): boolean {
  return (['front', 'back'] as const).every((role) =>
    ready[role].strands.every(({ edge: { curve } }, i) => {
      if (curve.kind === 'line') return true;
      const { share, newBend } = characterChange(curve, drawn[role].curves[i]);
      return share <= CHARACTER_SHARE_MAX && !newBend;
    }),
  );
}

interface Walls {
  readonly held: readonly HeldLine[];
  readonly steepness: number;
}

function search(
  task: FitTask,
  { free, lower, upper, deviation }: Bounds,
  { held, steepness }: Walls,
  start: Float64Array,
): LeastDeviationResult {
  const pick = (all: Float64Array): Float64Array => Float64Array.from(free, (i) => all[i]);
  const deviations = pick(deviation);
  const curves = curvedStrands(task.ready);
  const leasts = GIRTHS.map((girth) => ({ i: EQUATIONS.indexOf(girth), roomMm: leastRoomMm(task, girth) }));
  const lengthsAt = free.length;
  const leastsAt = lengthsAt + EQUATIONS.length;
  const splitAt = leastsAt + leasts.length;
  const creasesAt = splitAt + 1;
  const turnsAt = creasesAt + 2 * LEG_MIDDLES.length;
  const wallsAt = turnsAt + 2 * curves.length;
  const errors = new Float64Array(EQUATIONS.length);
  const evaluate: LeastDeviationProblem['evaluate'] = (p, _equations, residuals) => {
    const amounts = amountsOf(task, free, p);
    const drawn = task.redraw(amounts);
    const figures = fastFigures(task.ready, drawn, levelsAt(task));
    writeErrors(figures, task.targets, amounts[amountOf('depth')], errors);
    for (let i = 0; i < free.length; i++) residuals[i] = p[i] / deviations[i];
    EQUATIONS.forEach((name, i) => {
      const { underMm, overMm } = YIELDS[name];
      residuals[lengthsAt + i] = errors[i] / (errors[i] < 0 ? underMm : overMm);
    });
    leasts.forEach(({ i, roomMm }, k) => {
      residuals[leastsAt + k] = Math.min(0, errors[i] + roomMm) / LEAST_DEVIATION_MM;
    });
    residuals[splitAt] = (figures.frontRise - task.targets.frontRiseMm) / SPLIT_DEVIATION_MM;
    writeCreases(amounts, residuals, creasesAt);
    writeCharacter(curves, drawn, residuals, turnsAt);
    for (let i = turnsAt; i < wallsAt; i++) residuals[i] *= TURN_SHARE;
    writeWalls(held, drawn, steepness, residuals, wallsAt);
  };
  return solveLeastDeviation(
    {
      start,
      lower: pick(lower),
      upper: pick(upper),
      deviation: deviations,
      equationCount: 0,
      residualCount: wallsAt + wallCount(held),
      evaluate,
    },
    LIMITS,
  );
}

/** Under body and least ease by this is not under: half a millimetre is what a tape shows. */
const LEAST_TOLERANCE_MM = 0.5;

/** Whether a length may miss its target by this for the line's sake. */
export function mayYield(task: FitTask, name: Equation, missMm: number): boolean {
  if (Math.abs(missMm) > YIELDS[name].mostMm) return false;
  const girth = GIRTHS.find((each) => each === name);
  if (girth === undefined) return true;
  return missMm >= -leastRoomMm(task, girth) - LEAST_TOLERANCE_MM;
}

/** How far a girth may come out under its target; an order of less than the least ease is taken at its word. */
function leastRoomMm(task: FitTask, girth: Girth): number {
  return Math.max(0, targetMm(task, girth) - task.targets.leastMm[girth]);
}

function targetMm({ targets }: FitTask, girth: Girth): number {
  return targets[`${girth}Mm`];
}
