import { valueOf } from './issues-to-problems.js';
import type { Problem } from './problem.js';

/** What makes a step something else than a condition, looked at in the order in which steps are read. */
const OTHER_KINDS = ['do', 'let', 'guard', 'report'];

/**
 * The problem with the number of the step its field is in, where it is in one of a recipe.
 *
 * Shape  steps count from 1 in reading order, those inside conditions counted in, as in findings and in the readable form.
 * Cost   a walk over the steps before it.
 */
export function withStep(problem: Problem, json: unknown): Problem {
  if (problem.step !== undefined) return problem;
  const step = stepAt(problem.pointer.split('/').slice(1), json);
  return step === undefined ? problem : { ...problem, step, message: `Step ${step}, ${problem.message}` };
}

function stepAt(path: readonly string[], json: unknown): number | undefined {
  const at = path.indexOf('steps');
  const index = Number(path[at + 1]);
  if (at < 0 || !Number.isInteger(index)) return undefined;
  const steps = valueOf(path.slice(0, at).reduce<unknown>(valueOf, json), 'steps');
  if (!Array.isArray(steps) || index >= steps.length) return undefined;
  const before = steps.slice(0, index).reduce<number>((sum, step) => sum + stepsIn(step), 0);
  const inside = path[at + 2] === 'steps' ? stepAt(path.slice(at + 2), steps[index]) : undefined;
  return before + 1 + (inside ?? 0);
}

/** The step itself and those inside it. The depth of what is sent is bounded before. */
function stepsIn(step: unknown): number {
  const inner = isCondition(step) ? valueOf(step, 'steps') : undefined;
  return Array.isArray(inner) ? inner.reduce<number>((sum, one) => sum + stepsIn(one), 1) : 1;
}

function isCondition(step: unknown): boolean {
  return (
    valueOf(step, 'when') !== undefined && OTHER_KINDS.every((kind) => valueOf(step, kind) === undefined)
  );
}
