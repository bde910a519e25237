import { wallCosts, type HeldLine } from './line-walls.js';
import { amountsOf, errorsFor, type Bounds, type FitTask, type LineAt } from './solve-fit.js';

/** A line that pushes with less than this share of the strongest is not named. */
const NAMED_SHARE = 0.25;

/**
 * Which lines are in the way of each length, in the order of `EQUATIONS`.
 *
 * A wall is in a length's way when taking the length back to its target, by the changes that move it most, would climb
 * that wall.
 */
export function linesBefore(
  task: FitTask,
  { free, deviation }: Bounds,
  held: readonly HeldLine[],
  p: Float64Array,
): readonly (readonly LineAt[])[] {
  const amounts = (q: Float64Array): Float64Array => amountsOf(task, free, q);
  const deviations = Float64Array.from(free, (i) => deviation[i]);
  const pushes = slopes(p, deviations, (q) => wallCosts(held, task.redraw(amounts(q))));
  const lengths = slopes(p, deviations, (q) => errorsFor(task, amounts(q)));
  return Array.from(errorsFor(task, amounts(p)), (miss, e) => {
    const against = pushes.map((push) => -Math.sign(miss) * dot(push, lengths[e]));
    const most = Math.max(...against);
    if (!(most > 0)) return [];
    return held.filter((_, k) => against[k] > NAMED_SHARE * most);
  });
}

const DIFFERENCE = 1e-6;

/** How several values change with each unknown, per deviation: one row for each value. */
function slopes(
  p: Float64Array,
  deviations: Float64Array,
  valuesAt: (p: Float64Array) => ArrayLike<number>,
): number[][] {
  const here = valuesAt(p);
  const columns = Array.from(p, (value, i) => {
    const q = Float64Array.from(p);
    q[i] = value + DIFFERENCE * deviations[i];
    return valuesAt(q);
  });
  return Array.from(here, (value, row) => columns.map((column) => (column[row] - value) / DIFFERENCE));
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, value, i) => sum + value * b[i], 0);
}
