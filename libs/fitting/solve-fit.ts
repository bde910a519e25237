import { distance, endOf, startOf } from '#geometry';
import { dartsOf } from '#pattern';
import { solveLeastDeviation, type LeastDeviationResult } from '#solver';
import { CHANGE_INDEX, CHANGE_NAMES, changeLimits, type ChangeName } from './changes.js';
import { EQUATIONS, fastFigures, writeErrors, type FittingTargets } from './equations.js';
import type { FittingSettings } from './fitting-settings.js';
import { redrawn, type RedrawnPiece } from './redraw.js';
import { AMOUNT_COUNT, amountOf, LEVEL_NAMES, type LevelHeights, type ReadyBlock, type ReadyPiece } from './stations.js';

/** What the solver is given: the block, the body's lengths and levels, and what the shop allows. */
export interface FitTask {
  readonly ready: ReadyBlock;
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
}

/** A split of the crotch length that moved by this costs as much as an ordinary change; as in the from-body draft. */
const SPLIT_DEVIATION_MM = 6;

/** A curve may change its character by this share at the price of an ordinary change; a design choice. */
const CHARACTER_DEVIATION = 0.08;

/** Solved when every length is within a thousandth of a millimetre: half a thousand times finer than a tape. */
const LIMITS = { iterationsMax: 60, equationTolerance: 1e-6, stepTolerance: 1e-4, stepMax: 4 } as const;

/** Where not all can be reached: a miss of this costs as much as an ordinary change, so lengths come far before shape. */
const SHORTFALL_DEVIATION_MM = 0.02;

interface Bounds {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly deviation: Float64Array;
  /** The changes that may be used at all. */
  readonly free: readonly number[];
}

/** The least of changes that reaches every length; where that cannot be, the lengths as near as the limits allow. */
export function solveFit(task: FitTask): FitSolution {
  const bounds = boundsFor(task);
  const exact = solve(task, bounds, 'hold');
  if (exact.state === 'solved') return solutionOf(task, bounds, exact, true);
  return solutionOf(task, bounds, solve(task, bounds, 'soften'), false);
}

function boundsFor({ ready, settings }: FitTask): Bounds {
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

function solve(task: FitTask, bounds: Bounds, lengths: 'hold' | 'soften'): LeastDeviationResult {
  const { free } = bounds;
  const pick = (all: Float64Array): Float64Array => Float64Array.from(free, (i) => all[i]);
  const errors = new Float64Array(EQUATIONS.length);
  const curves = curvedStrands(task.ready);
  const soft = lengths === 'soften' ? EQUATIONS.length : 0;
  return solveLeastDeviation(
    {
      start: new Float64Array(free.length),
      lower: pick(bounds.lower),
      upper: pick(bounds.upper),
      deviation: pick(bounds.deviation),
      equationCount: EQUATIONS.length - soft,
      residualCount: free.length + 1 + 2 * curves.length + soft,
      evaluate: (p, equations, residuals) => {
        const amounts = amountsOf(task, free, p);
        const drawn = redrawn(task.ready, amounts);
        const figures = fastFigures(task.ready, drawn, levelsAt(task));
        writeErrors(figures, task.targets, amounts[amountOf('depth')], errors);
        free.forEach((change, i) => (residuals[i] = p[i] / bounds.deviation[change]));
        residuals[free.length] = (figures.frontRise - task.targets.frontRiseMm) / SPLIT_DEVIATION_MM;
        writeCharacter(curves, drawn, residuals, free.length + 1);
        if (lengths === 'hold') equations.set(errors);
        else errors.forEach((miss, i) => (residuals[residuals.length - soft + i] = miss / SHORTFALL_DEVIATION_MM));
      },
    },
    LIMITS,
  );
}

export function levelsAt({ levels }: FitTask): { readonly hip: number; readonly knee: number } {
  return { hip: levels.hip, knee: levels.knee };
}

function amountsOf({ ready, levels }: FitTask, free: readonly number[], p: Float64Array): Float64Array {
  const amounts = new Float64Array(AMOUNT_COUNT);
  LEVEL_NAMES.forEach((name, i) => (amounts[i] = levels[name] - ready.heights[name]));
  free.forEach((change, i) => (amounts[LEVEL_NAMES.length + change] = p[i]));
  return amounts;
}

type Curved = { readonly role: 'front' | 'back'; readonly index: number; readonly bend: number };

function curvedStrands(ready: ReadyBlock): Curved[] {
  return (['front', 'back'] as const).flatMap((role) =>
    ready[role].strands.flatMap(({ bend, edge }, index) =>
      edge.curve.kind === 'cubic' && edge.role !== 'waist' ? [{ role, index, bend: Math.max(bend, BEND_MIN) }] : [],
    ),
  );
}

/** Under this a cubic is a straight line with rounding. */
const BEND_MIN = 0.05;

// Turning the ends of a cubic by a and b against its chord changes length x curvature by -4a - 2b at its start and by
// 2a + 4b at its end, to first order and with handles of a third.
function writeCharacter(
  curves: readonly Curved[],
  drawn: Readonly<Record<'front' | 'back', RedrawnPiece>>,
  residuals: Float64Array,
  from: number,
): void {
  curves.forEach(({ role, index, bend }, i) => {
    const { startRad, endRad } = drawn[role].turns[index];
    const unit = bend * CHARACTER_DEVIATION;
    residuals[from + 2 * i] = (4 * startRad + 2 * endRad) / unit;
    residuals[from + 2 * i + 1] = (2 * startRad + 4 * endRad) / unit;
  });
}

function solutionOf(task: FitTask, bounds: Bounds, result: LeastDeviationResult, solved: boolean): FitSolution {
  const amounts = amountsOf(task, bounds.free, result.p);
  const errors = new Float64Array(EQUATIONS.length);
  const drawn = redrawn(task.ready, amounts);
  writeErrors(fastFigures(task.ready, drawn, levelsAt(task)), task.targets, amounts[amountOf('depth')], errors);
  const held = bounds.free.flatMap((change, i) => (result.held[i] === 0 ? [] : [CHANGE_NAMES[change]]));
  return { amounts, solved, errors, held, iterations: result.iterations };
}
