import { distance } from '#geometry';
import type { PieceRole } from '#pattern';
import {
  leastShortfall,
  solveLeastDeviation,
  type LeastDeviationProblem,
  type LeastDeviationResult,
  type LeastShortfall,
  type SolverLimits,
} from '#solver';
import { EQUATIONS, RESIDUAL_COUNT, SPLIT_RESIDUAL, writeEquations, writeResiduals } from './equations.js';
import {
  boundsFor,
  dartCountsFor,
  INDEX,
  nominalsFor,
  PARAMETERS,
  type DartCounts,
  type Nominals,
} from './parameters.js';
import { drawerFor, shapeOf, type BlockShape } from './shape.js';
import type { Frame } from './skeleton.js';
import type { Targets } from './targets.js';
import { invalidities, type Invalidity } from './validity.js';
import { HIP_CEILING_SHARE, NO_LIMITS, YIELD_ROWS, type YieldLimits, type YieldRow } from './yielding.js';

/** A solved block: parameters, curves, and what it took. */
export interface SolvedBlock {
  readonly parameters: Float64Array;
  readonly shape: BlockShape;
  readonly frame: Frame;
  readonly row: number;
  readonly iterations: number;
  /** -1 at the lower bound, +1 at the upper, 0 between, by parameter. */
  readonly held: Int8Array;
}

/** No row solved. `best` is the attempt that came nearest, for saying what is in the way. */
export interface UnsolvedBlock {
  readonly best: {
    readonly solution: LeastDeviationResult;
    readonly frame: Frame;
    readonly invalid: readonly Invalidity[];
  };
}

/**
 * Stop a hundred times under the 0.01 mm a draft is checked to, when a step moved no parameter by a two-hundredth of
 * its deviation. The step after that one would be a twentieth of it: microns, for a fifth of the time.
 */
const LIMITS: SolverLimits = { iterationsMax: 60, equationTolerance: 1e-4, stepTolerance: 5e-3, stepMax: 4 };

/** A draft that the search left with equations this near is as exact as its lengths can be measured. */
const ACCEPTED_ERROR_MM = 1e-3;

/** Every attempt may change the dart counts and the ends of the crotch curves once or twice. */
const RESHAPES_MAX = 4;

/**
 * Solve a block by the order of yielding.
 *
 * Cost  about 5 iterations of 24 evaluations for half of the bodies, 15 for the slowest of the survey.
 */
export function solveBlock(targets: Targets, limits: YieldLimits): SolvedBlock | UnsolvedBlock {
  let best: UnsolvedBlock['best'] | undefined;
  let iterations = 0;
  for (const [index, row] of YIELD_ROWS.entries()) {
    const attempt = solveRow(targets, row, limits);
    iterations += attempt.iterations;
    const invalid = attempt.solution.equationError < ACCEPTED_ERROR_MM ? invaliditiesOf(attempt.shape) : [];
    if (attempt.solution.equationError < ACCEPTED_ERROR_MM && invalid.length === 0) {
      const { solution, shape, frame } = attempt;
      return {
        parameters: solution.p.slice(0, PARAMETERS.length),
        shape,
        frame,
        row: index,
        iterations,
        held: heldOf(solution, frame),
      };
    }
    if (best === undefined || attempt.solution.equationError < best.solution.equationError)
      best = { ...attempt, invalid };
  }
  if (best === undefined) throw new Error('the order of yielding has no rows');
  return { best };
}

/** A missed length of this many mm counts as one deviation when every length may give. */
const SHORTFALL_DEVIATION_MM = 0.1;

/**
 * The nearest the lengths can be brought together when none of them must hold: errors in mm by equation, the one in the
 * way, and what has run out. For saying why a block cannot be drawn.
 */
export function blockShortfall(targets: Targets): LeastShortfall {
  const row = YIELD_ROWS[YIELD_ROWS.length - 1];
  const hipLevelMm = hipLevel(targets, row.hipFloorShare);
  const nominals = nominalsFor(targets, hipLevelMm);
  const frame = plainFrame(targets, hipLevelMm, nominals);
  const { problem } = problemOf({ frame, nominals, row, limits: NO_LIMITS }, nominals.values);
  return leastShortfall(problem, LIMITS, SHORTFALL_DEVIATION_MM);
}

// What the values do not have yet starts at 0.
function within(values: Float64Array, { lower, upper }: Bounds): Float64Array {
  return lower.map((least, i) => Math.min(upper[i], Math.max(least, i < values.length ? values[i] : 0)));
}

function invaliditiesOf(shape: BlockShape): Invalidity[] {
  return [...invalidities(shape.front), ...invalidities(shape.back)];
}

// A dart that a piece does not have is not "at its limit".
function heldOf(solution: LeastDeviationResult, frame: Frame): Int8Array {
  const held = solution.held.slice(0, PARAMETERS.length);
  if (frame.darts.front === 0) held[INDEX.frontDart] = 0;
  if (frame.darts.back === 0) held[INDEX.backDart] = 0;
  return held;
}

interface Attempt {
  /** Over all drawings of the row. */
  readonly iterations: number;
  readonly solution: LeastDeviationResult;
  readonly frame: Frame;
  readonly shape: BlockShape;
}

function solveRow(targets: Targets, row: YieldRow, limits: YieldLimits): Attempt {
  const hipLevelMm = hipLevel(targets, row.hipFloorShare);
  const nominals = nominalsFor(targets, hipLevelMm);
  let frame = firstFrame(targets, hipLevelMm, nominals);
  let attempt = solveFrame({ frame, nominals, row, limits }, nominals.values);
  for (let reshape = 0; reshape < RESHAPES_MAX; reshape++) {
    const next = reshaped(attempt);
    if (next === undefined) break;
    frame = { ...frame, ...next };
    // From where the last attempt ended: the new drawing differs from it in a few millimetres.
    const again = solveFrame({ frame, nominals, row, limits }, attempt.solution.p);
    attempt = { ...again, iterations: attempt.iterations + again.iterations };
  }
  return attempt;
}

// Drawn as the nominal shape asks for, which mostly is how the solved one wants it too.
function firstFrame(targets: Targets, hipLevelMm: number, nominals: Nominals): Frame {
  const frame = plainFrame(targets, hipLevelMm, nominals);
  return { ...frame, straightAtFork: straightEnds(frame, shapeOf(nominals.values, frame)) };
}

function plainFrame(targets: Targets, hipLevelMm: number, nominals: Nominals): Frame {
  const straightAtFork = { front: false, back: false };
  return { targets, hipLevelMm, darts: dartCountsFor(nominals), straightAtFork };
}

/** Where the hip line is drawn: at the body's hip, kept between crotch and waist. */
export function hipLevel(targets: Targets, floorShare: number): number {
  const depthMm = targets.waistLevelMm - targets.crotchLevelMm;
  const lowest = targets.crotchLevelMm + floorShare * depthMm;
  const highest = targets.crotchLevelMm + HIP_CEILING_SHARE * depthMm;
  return Math.min(highest, Math.max(lowest, targets.bodyHipLevelMm));
}

/** Everything that stays while the parameters of one attempt are searched for. */
interface Search {
  readonly frame: Frame;
  readonly nominals: Nominals;
  readonly row: YieldRow;
  readonly limits: YieldLimits;
}

function solveFrame(search: Search, from: Float64Array): Attempt {
  const { problem, draw } = problemOf(search, from);
  const solution = solveLeastDeviation(problem, LIMITS);
  const { frame } = search;
  return { solution, frame, shape: draw(solution.p), iterations: solution.iterations };
}

/** Where the move of the split stands when it is limited: an unknown of its own behind the parameters. */
const SPLIT_AT = PARAMETERS.length;

function problemOf(
  { frame, nominals, row, limits }: Search,
  from: Float64Array,
): { readonly problem: LeastDeviationProblem; readonly draw: (p: Float64Array) => BlockShape } {
  const { splitMm } = limits;
  const bounds = limited(boundsFor(frame.darts), limits);
  const drawnTo: Nominals = {
    values: withoutDarts(nominals.values, frame.darts),
    deviations: nominals.deviations,
  };
  const draw = drawerFor(frame);
  const splitTargetMm = frame.targets.frontRiseMm;
  const problem: LeastDeviationProblem = {
    start: within(from, bounds),
    ...bounds,
    deviation: splitMm === undefined ? nominals.deviations : with1(nominals.deviations, row.splitDeviationMm),
    equationCount: EQUATIONS.length + (splitMm === undefined ? 0 : 1),
    residualCount: RESIDUAL_COUNT,
    evaluate: (p, equations, residuals) => {
      const shape = draw(p);
      writeEquations(p, shape, frame, equations);
      writeResiduals(p, shape, { frame, nominals: drawnTo, wishes: row }, residuals);
      if (splitMm === undefined) return;
      // The same cost, of the unknown that the new equation ties to the drawing.
      equations[EQUATIONS.length] = shape.front.riseMm - splitTargetMm - p[SPLIT_AT];
      residuals[SPLIT_RESIDUAL] = p[SPLIT_AT] / row.splitDeviationMm;
    },
  };
  return { problem, draw };
}

interface Bounds {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

// The depth is a parameter and has bounds already; the split follows from the drawing and becomes an unknown of its own.
function limited(bounds: Bounds, { splitMm, depthMm }: YieldLimits): Bounds {
  const lower = splitMm === undefined ? bounds.lower : with1(bounds.lower, -splitMm);
  const upper = splitMm === undefined ? bounds.upper : with1(bounds.upper, splitMm);
  if (depthMm !== undefined) {
    lower[INDEX.depthMove] = Math.max(lower[INDEX.depthMove], -depthMm);
    upper[INDEX.depthMove] = Math.min(upper[INDEX.depthMove], depthMm);
  }
  return { lower, upper };
}

function with1(values: Float64Array, last: number): Float64Array {
  return Float64Array.from([...values, last]);
}

// A dart that is not there must not pull the waist about.
function withoutDarts(values: Float64Array, darts: DartCounts): Float64Array {
  const drawn = Float64Array.from(values);
  if (darts.front === 0) drawn[INDEX.frontDart] = 0;
  if (darts.back === 0) drawn[INDEX.backDart] = 0;
  return drawn;
}

/** An edge shorter than this is not drawn; the curve beside it takes its length. */
const SHORTEST_EDGE_MM = 1;

/** Over this share of the centre arm the fork arm is left straight at its end. */
const ARM_RATIO_MAX = 2;

// What the solved shape says should be drawn differently: darts at the end of their range, ends of the crotch curve.
function reshaped({ solution, frame, shape }: Attempt): Pick<Frame, 'darts' | 'straightAtFork'> | undefined {
  const darts = dartsAfter(solution, frame.darts);
  const straightAtFork = straightEnds(frame, shape);
  const same =
    darts.front === frame.darts.front &&
    darts.back === frame.darts.back &&
    straightAtFork.front === frame.straightAtFork.front &&
    straightAtFork.back === frame.straightAtFork.back;
  return same ? undefined : { darts, straightAtFork };
}

function dartsAfter(solution: LeastDeviationResult, darts: DartCounts): DartCounts {
  const front = darts.front === 1 && solution.held[INDEX.frontDart] < 0 ? 0 : darts.front;
  const held = solution.held[INDEX.backDart];
  const back = darts.back === 0 || held === 0 ? darts.back : held < 0 ? fewer(darts.back) : 2;
  return { front, back };
}

function fewer(count: 1 | 2): 0 | 1 {
  return count === 2 ? 1 : 0;
}

function straightEnds(frame: Frame, shape: BlockShape): Frame['straightAtFork'] {
  return { front: endsStraight(frame, shape, 'front'), back: endsStraight(frame, shape, 'back') };
}

function endsStraight(frame: Frame, shape: BlockShape, role: PieceRole): boolean {
  const piece = shape[role];
  const straightMm = distance(piece.forkStraight.p0, piece.forkStraight.p1);
  if (frame.straightAtFork[role]) return straightMm >= SHORTEST_EDGE_MM;
  return piece.forkArmMm > ARM_RATIO_MAX * piece.centreArmMm + 2 * SHORTEST_EDGE_MM;
}
