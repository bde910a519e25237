import { distance, endOf, startOf } from '#geometry';
import { dartsOf } from '#pattern';
import { solveLeastDeviation, type LeastDeviationResult } from '#solver';
import { CHANGE_INDEX, CHANGE_NAMES, changeLimits, type ChangeName } from './changes.js';
import { EQUATIONS, fastFigures, writeErrors, type FittingTargets } from './equations.js';
import type { FittingSettings } from './fitting-settings.js';
import type { Redraw, RedrawnPiece } from './redraw.js';
import {
  AMOUNT_COUNT,
  amountOf,
  LEVEL_NAMES,
  type LevelHeights,
  type ReadyBlock,
  type ReadyPiece,
} from './stations.js';

/** What the solver is given: the block, the body's lengths and levels, and what the shop allows. */
export interface FitTask {
  readonly ready: ReadyBlock;
  readonly redraw: Redraw;
  readonly targets: FittingTargets;
  /** Where the levels go before the depth yields. */
  readonly levels: LevelHeights;
  readonly settings: FittingSettings;
}

export interface FitSolution {
  readonly amounts: Float64Array;
  readonly solved: boolean;
  /** What each equation misses, in mm. */
  readonly errors: Float64Array;
  /** Changes at the end of their range. */
  readonly held: readonly ChangeName[];
  readonly iterations: number;
  /** Of each equation, the curves whose line is in its way. */
  readonly linesBefore: readonly (readonly LineAt[])[];
}

/** A curve of the block by its piece and its place in the outline. */
export interface LineAt {
  readonly role: 'front' | 'back';
  readonly index: number;
}

/** A split of the crotch length that moved by this costs as much as an ordinary change; a design choice. */
const SPLIT_DEVIATION_MM = 4;

/** A curve may change its character by this share at the price of an ordinary change; a design choice. */
const CHARACTER_DEVIATION = 0.03;

/** Solved when every length is within a thousandth of a millimetre: half a thousand times finer than a tape. */
const LIMITS = { iterationsMax: 60, equationTolerance: 1e-6, stepTolerance: 1e-4, stepMax: 4 } as const;

/** Where not all can be reached: a miss of this costs as much as an ordinary change, so lengths come far before shape. */
const SHORTFALL_DEVIATION_MM = 0.02;

/** A search that ran out of steps close to its end has every length all the same. */
const REACHED_MM = 0.001;

function isReached({ state, equationError }: LeastDeviationResult): boolean {
  return state === 'solved' || equationError < REACHED_MM;
}

export interface Bounds {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly deviation: Float64Array;
  /** The changes that may be used at all. */
  readonly free: readonly number[];
}

/** The least of changes that reaches every length; where that cannot be, the lengths as near as the limits allow. */
export function solveFit(task: FitTask): FitSolution {
  const bounds = boundsFor(task);
  const start = new Float64Array(bounds.free.length);
  const exact = solve(task, bounds, 'hold', start);
  if (isReached(exact)) return solutionOf(task, bounds, exact, true);
  const near = solve(task, bounds, 'soften', start);
  const again = solve(task, bounds, 'hold', near.p);
  if (isReached(again)) return solutionOf(task, bounds, again, true);
  return solutionOf(task, bounds, near, false);
}

export function boundsFor({ ready, settings }: FitTask): Bounds {
  const { deviation, limit } = changeLimits(settings);
  const lower = Float64Array.from(limit, (most) => -most);
  const upper = Float64Array.from(limit);
  for (const [name, piece] of [
    ['frontDarts', ready.front],
    ['backDarts', ready.back],
  ] as const) {
    const [least, most] = dartRoom(piece, settings.limits.dartMm);
    lower[CHANGE_INDEX[name]] = least;
    upper[CHANGE_INDEX[name]] = most;
  }
  for (const [name, piece] of [
    ['frontDartLength', ready.front],
    ['backDartLength', ready.back],
  ] as const) {
    const [least, most] = dartLengthRoom(piece);
    lower[CHANGE_INDEX[name]] = least;
    upper[CHANGE_INDEX[name]] = most;
  }
  const free = CHANGE_NAMES.map((_, i) => i).filter((i) => deviation[i] > 0 && lower[i] < upper[i]);
  return { lower, upper, deviation: Float64Array.from(deviation), free };
}

/** No dart is left narrower than this; common practice, no source. */
const DART_MM_MIN = 8;

/** How far all darts of a piece together may change; each takes an equal part. */
function dartRoom({ piece }: ReadyPiece, mostMm: number): readonly [number, number] {
  const intakes = dartsOf(piece).map(({ sideLeg, centreLeg }) =>
    distance(startOf(sideLeg.curve), endOf(centreLeg.curve)),
  );
  if (intakes.length === 0) return [0, 0];
  const closing = Math.min(...intakes.map((mm) => Math.max(0, mm - DART_MM_MIN)));
  const opening = Math.min(...intakes.map((mm) => Math.max(0, mostMm - mm)));
  return [-closing * intakes.length, opening * intakes.length];
}

function solve(
  task: FitTask,
  bounds: Bounds,
  lengths: 'hold' | 'soften',
  start: Float64Array,
): LeastDeviationResult {
  const { free } = bounds;
  const pick = (all: Float64Array): Float64Array => Float64Array.from(free, (i) => all[i]);
  const errors = new Float64Array(EQUATIONS.length);
  const curves = curvedStrands(task.ready);
  const soft = lengths === 'soften' ? EQUATIONS.length : 0;
  return solveLeastDeviation(
    {
      start,
      lower: pick(bounds.lower),
      upper: pick(bounds.upper),
      deviation: pick(bounds.deviation),
      equationCount: EQUATIONS.length - soft,
      residualCount: free.length + 1 + 2 * curves.length + soft,
      evaluate: (p, equations, residuals) => {
        const amounts = amountsOf(task, free, p);
        const drawn = task.redraw(amounts);
        const figures = fastFigures(task.ready, drawn, levelsAt(task));
        writeErrors(figures, task.targets, amounts[amountOf('depth')], errors);
        free.forEach((change, i) => (residuals[i] = p[i] / bounds.deviation[change]));
        residuals[free.length] = (figures.frontRise - task.targets.frontRiseMm) / SPLIT_DEVIATION_MM;
        writeCharacter(curves, drawn, residuals, free.length + 1);
        if (lengths === 'hold') equations.set(errors);
        else
          errors.forEach(
            (miss, i) => (residuals[residuals.length - soft + i] = miss / SHORTFALL_DEVIATION_MM),
          );
      },
    },
    LIMITS,
  );
}

/** Shares of its length that a dart may be made shorter and longer by; design choices. */
const DART_SHORTER = 0.35;
const DART_LONGER = 0.15;

/** How far the darts of a piece may change in length, all by the same. */
function dartLengthRoom({ piece }: ReadyPiece): readonly [number, number] {
  const lengths = dartsOf(piece).map(({ sideLeg: { curve } }) => distance(startOf(curve), endOf(curve)));
  if (lengths.length === 0) return [0, 0];
  const shortest = Math.min(...lengths);
  return [-DART_SHORTER * shortest, DART_LONGER * shortest];
}

export function levelsAt({ levels }: FitTask): { readonly hip: number; readonly knee: number } {
  return { hip: levels.hip, knee: levels.knee };
}

export function amountsOf(
  { ready, levels }: FitTask,
  free: readonly number[],
  p: Float64Array,
): Float64Array {
  const amounts = new Float64Array(AMOUNT_COUNT);
  LEVEL_NAMES.forEach((name, i) => (amounts[i] = levels[name] - ready.heights[name]));
  free.forEach((change, i) => (amounts[LEVEL_NAMES.length + change] = p[i]));
  return amounts;
}

export interface Curved {
  readonly role: 'front' | 'back';
  readonly index: number;
  /** A triangular root of what turned ends cost it, in ordinary changes: two residuals whose squares are that cost. */
  readonly root: readonly [number, number, number];
}

export function curvedStrands(ready: ReadyBlock): Curved[] {
  return (['front', 'back'] as const).flatMap((role) =>
    ready[role].strands.flatMap(({ bend, edge, pliancy }, index): Curved[] => {
      if (edge.curve.kind === 'line' && edge.role !== 'waist') return [];
      const unit = Math.max(bend, edge.role === 'waist' ? WAIST_BEND_MIN : BEND_MIN) * CHARACTER_DEVIATION;
      const [startStart, startEnd, endEnd] = pliancy.cost;
      const first = Math.sqrt(startStart);
      const mixed = startEnd / first;
      const rest = Math.sqrt(Math.max(0, endEnd - mixed * mixed));
      return [{ role, index, root: [first / unit, mixed / unit, rest / unit] }];
    }),
  );
}

/** Under this a cubic is a straight line with rounding. */
const BEND_MIN = 0.05;
/** A waist has to follow its corners; it is a seam nobody sees the line of, under its band. */
const WAIST_BEND_MIN = 0.6;

export function writeCharacter(
  curves: readonly Curved[],
  drawn: Readonly<Record<'front' | 'back', RedrawnPiece>>,
  residuals: Float64Array,
  from: number,
): void {
  curves.forEach(({ role, index, root }, i) => {
    const { startRad, endRad } = drawn[role].turns[index];
    residuals[from + 2 * i] = root[0] * startRad + root[1] * endRad;
    residuals[from + 2 * i + 1] = root[2] * endRad;
  });
}

function solutionOf(
  task: FitTask,
  bounds: Bounds,
  result: LeastDeviationResult,
  solved: boolean,
): FitSolution {
  const amounts = amountsOf(task, bounds.free, result.p);
  const errors = errorsFor(task, amounts);
  const held = bounds.free.flatMap((change, i) => (result.held[i] === 0 ? [] : [CHANGE_NAMES[change]]));
  return { amounts, solved, errors, held, iterations: result.iterations, linesBefore: [] };
}

/** What each equation misses for some amounts, in mm. */
export function errorsFor(task: FitTask, amounts: Float64Array): Float64Array {
  const errors = new Float64Array(EQUATIONS.length);
  const figures = fastFigures(task.ready, task.redraw(amounts), levelsAt(task));
  writeErrors(figures, task.targets, amounts[amountOf('depth')], errors);
  return errors;
}
