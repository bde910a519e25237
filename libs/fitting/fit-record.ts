import { DEG } from '#geometry';
import { FIGURES, type BlockFigures, type Moved, type PieceRole } from '#pattern';
import { CHANGE_NAMES, CHANGES, type ChangeName } from './changes.js';
import { fastFigures } from './equations.js';
import type { FitTask } from './solve-fit.js';
import { AMOUNT_COUNT, amountOf, LEVEL_NAMES } from './stations.js';

/** One alteration that was made, in trade words. */
export interface FitChange {
  readonly change: ChangeName | 'legLength' | 'riseDepth';
  readonly operation: string;
  readonly piece: PieceRole | undefined;
  readonly part: string;
  /** Signed; positive lets out, raises, spreads. */
  readonly amount: number;
  readonly unit: 'mm' | 'deg';
  /** What the alteration did to each measure it touched, in mm, made after those before it in the list. */
  readonly measures: Partial<BlockFigures>;
}

/** One measure of the block: what it was given as, what it came to, and through which changes. */
export interface FittedMeasure {
  readonly measure: keyof BlockFigures;
  readonly givenMm: number;
  readonly targetMm: number;
  readonly draftedMm: number;
  /** By change, in mm; with what truing did afterwards they add up to drafted less given. */
  readonly by: readonly { readonly change: FitChange['change'] | 'truing'; readonly mm: number }[];
}

/** Less than this is not told: a tape shows a tenth of it ten times over. */
const TOLD_MM = 0.05;

interface Step {
  readonly change: FitChange['change'];
  readonly operation: string;
  readonly piece: PieceRole | undefined;
  readonly part: string;
  readonly amount: number;
  readonly unit: 'mm' | 'deg';
  readonly set: (amounts: Float64Array) => void;
}

/**
 * The alterations that were made, each with what it did to every measure.
 *
 * They are made one after the other in the order of the trade, levels first, and the block is measured after each: what
 * a measure gained is then told of exactly one change each, and nothing is left over.
 */
export function fitChanges(task: FitTask, solved: Float64Array): FitChange[] {
  const amounts = new Float64Array(AMOUNT_COUNT);
  let before = figuresFor(task, amounts);
  return stepsOf(task, solved).flatMap(({ set, ...step }): FitChange[] => {
    set(amounts);
    const after = figuresFor(task, amounts);
    const measures: { -readonly [Name in keyof BlockFigures]?: number } = {};
    for (const name of FIGURES) {
      if (Math.abs(after[name] - before[name]) > TOLD_MM) measures[name] = after[name] - before[name];
    }
    const told = Object.keys(measures).length > 0 || Math.abs(step.amount) > TOLD_MM;
    before = after;
    return told ? [{ ...step, measures }] : [];
  });
}

function figuresFor({ ready, redraw }: FitTask, amounts: Float64Array): BlockFigures {
  const levels = {
    hip: ready.heights.hip + amounts[LEVEL_NAMES.indexOf('hip')],
    knee: ready.heights.knee + amounts[LEVEL_NAMES.indexOf('knee')],
  };
  return fastFigures(ready, redraw(amounts), levels);
}

function stepsOf({ ready, levels }: FitTask, solved: Float64Array): Step[] {
  const legMm = levels.crotch - levels.hem - (ready.heights.crotch - ready.heights.hem);
  const depthMm = levels.waist - levels.crotch - (ready.heights.waist - ready.heights.crotch);
  const crotch = solved[LEVEL_NAMES.indexOf('crotch')];
  const whole = (change: 'legLength' | 'riseDepth', part: string, amount: number, set: Step['set']): Step => {
    const operation = amount < 0 ? 'shorten' : 'lengthen';
    return { change, operation, piece: undefined, part, amount, unit: 'mm', set };
  };
  const changes = CHANGE_NAMES.map((change): Step => {
    const { piece, part, words, unit } = CHANGES[change];
    const amount = solved[amountOf(change)];
    const operation = amount < 0 ? words[1] : words[0];
    return {
      change,
      operation,
      piece,
      part,
      amount,
      unit,
      set: (amounts) => (amounts[amountOf(change)] = amount),
    };
  });
  return [
    whole('legLength', 'leg, crotch line to hem', legMm, (amounts) => {
      LEVEL_NAMES.forEach(
        (name, i) => (amounts[i] = name === 'hip' || name === 'waist' ? crotch : solved[i]),
      );
    }),
    whole('riseDepth', 'depth of the rise, waist to crotch line', depthMm, (amounts) => {
      LEVEL_NAMES.forEach((_, i) => (amounts[i] = solved[i]));
    }),
    ...changes,
  ];
}

/** The changes as records of what moved; a wedge is told as what it opens at the centre seam. */
export function fitMoved(changes: readonly FitChange[], { ready }: FitTask): Moved[] {
  return changes.map(({ operation, piece, part, amount, unit }): Moved => {
    const byMm = Math.abs(
      unit === 'mm' ? amount : amount * DEG * hipWidthMm(ready[piece ?? 'back'].piece.edges),
    );
    return { operation, part, byMm, ...(piece === undefined ? {} : { piece }) };
  });
}

function hipWidthMm(edges: FitTask['ready']['front']['piece']['edges']): number {
  const xs = edges
    .filter(({ role }) => role === 'outseam' || role === 'rise')
    .map(({ role, curve }) => ({ role, x: curve.p0.x }));
  return (
    Math.max(...xs.filter(({ role }) => role === 'rise').map(({ x }) => x)) -
    Math.min(...xs.map(({ x }) => x))
  );
}

/** Every measure with what it was, should be and is, and which change gave it what. */
export function fittedMeasures(
  changes: readonly FitChange[],
  given: BlockFigures,
  targets: BlockFigures,
  drafted: BlockFigures,
): FittedMeasure[] {
  return FIGURES.map((measure): FittedMeasure => {
    const by = changes.flatMap(({ change, measures }) => {
      const mm = measures[measure];
      return mm === undefined ? [] : [{ change, mm }];
    });
    const truingMm = drafted[measure] - given[measure] - by.reduce((sum, { mm }) => sum + mm, 0);
    const rest = Math.abs(truingMm) > TRUING_MM ? [{ change: 'truing' as const, mm: truingMm }] : [];
    return {
      measure,
      givenMm: given[measure],
      targetMm: targets[measure],
      draftedMm: drafted[measure],
      by: [...by, ...rest],
    };
  });
}

/** What is left of a measure after all changes, below this, is what was too little to be told. */
const TRUING_MM = 0.5;
