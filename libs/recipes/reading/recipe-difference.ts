import type { Operation } from '#alterations';
import type { Recipe, Step } from '../recipe.js';
import { recipeReading, type ReadStep } from './recipe-reading.js';

/** What is not the same in two versions of a recipe, in the words of its readable form. */
export interface RecipeDifference {
  /** Title and summary. */
  readonly about: readonly (Change & { readonly name: string })[];
  readonly parameters: readonly (Change & { readonly name: string })[];
  /** In reading order. A step that was only moved is taken out in one place and put in in another. */
  readonly steps: readonly StepChange[];
}

/** Without `before` it is new, without `after` it is gone. */
export interface Change {
  readonly before?: string;
  readonly after?: string;
}

export interface StepChange {
  readonly before?: ReadStep;
  readonly after?: ReadStep;
}

/**
 * What changed from one version of a recipe to another.
 *
 * Shape    steps are compared as they are written, conditions with what is inside them step by step; the fewest changes
 *          that explain the rest. A step taken out where another of its kind is put in is one step that changed.
 * Cost     product of the two counts of steps, 200 each at most.
 * Source   longest common subsequence by dynamic programming (Wagner and Fischer, 1974).
 */
export function recipeDifference(
  before: Recipe,
  after: Recipe,
  operations: ReadonlyMap<string, Pick<Operation, 'sentence'>>,
): RecipeDifference {
  const readings = [before, after].map((recipe) => recipeReading(recipe, operations));
  const about = (['title', 'summary'] as const).flatMap((field) =>
    before[field] === after[field] ? [] : [{ name: field, before: before[field], after: after[field] }],
  );
  return {
    about,
    parameters: parameterChanges(
      new Map(readings[0].parameters.map(({ name, text }) => [name, text])),
      new Map(readings[1].parameters.map(({ name, text }) => [name, text])),
    ),
    steps: stepChanges(linesOf(before, readings[0].steps), linesOf(after, readings[1].steps)),
  };
}

function parameterChanges(
  before: ReadonlyMap<string, string>,
  after: ReadonlyMap<string, string>,
): RecipeDifference['parameters'] {
  return [...new Set([...before.keys(), ...after.keys()])].flatMap((name) => {
    const [was, is] = [before.get(name), after.get(name)];
    if (was === is) return [];
    return [
      { name, ...(was === undefined ? {} : { before: was }), ...(is === undefined ? {} : { after: is }) },
    ];
  });
}

/** A step as it is compared: what it says by itself, without the steps inside it. */
interface Line {
  readonly read: ReadStep;
  readonly key: string;
  readonly kind: string;
}

function linesOf(recipe: Recipe, read: readonly ReadStep[]): Line[] {
  return flat(recipe.steps).map((step, index) => {
    const own = 'when' in step ? { when: step.when } : step;
    const kind = 'do' in step ? `do ${step.do}` : 'let' in step ? `let ${step.let}` : Object.keys(own)[0];
    return { read: read[index], key: `${read[index].depth} ${JSON.stringify(sorted(own))}`, kind };
  });
}

function flat(steps: readonly Step[]): Step[] {
  return steps.flatMap((step) => ('when' in step ? [step, ...flat(step.steps)] : [step]));
}

// Written in whatever order of fields, a step is the same step.
function sorted(value: unknown): unknown {
  if (typeof value !== 'object' || value === null) return value;
  if (Array.isArray(value)) return value.map(sorted);
  return Object.fromEntries(
    Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([name, inside]) => [name, sorted(inside)]),
  );
}

function stepChanges(before: readonly Line[], after: readonly Line[]): StepChange[] {
  const common = commonLengths(before, after);
  const changes: StepChange[] = [];
  let [i, j] = [0, 0];
  // Each turn takes a step of one side or of both.
  while (i < before.length || j < after.length) {
    const gone: Line[] = [];
    const come: Line[] = [];
    while (i < before.length && (j === after.length || before[i].key !== after[j].key)) {
      if (j < after.length && common[i + 1][j] < common[i][j + 1]) come.push(after[j++]);
      else gone.push(before[i++]);
    }
    while (j < after.length && (i === before.length || before[i].key !== after[j].key)) come.push(after[j++]);
    changes.push(...paired(gone, come));
    if (i < before.length && j < after.length) [i, j] = [i + 1, j + 1];
  }
  return changes;
}

function commonLengths(before: readonly Line[], after: readonly Line[]): number[][] {
  const common = Array.from({ length: before.length + 1 }, () => new Array<number>(after.length + 1).fill(0));
  for (let i = before.length - 1; i >= 0; i--) {
    for (let j = after.length - 1; j >= 0; j--) {
      common[i][j] =
        before[i].key === after[j].key
          ? common[i + 1][j + 1] + 1
          : Math.max(common[i + 1][j], common[i][j + 1]);
    }
  }
  return common;
}

function paired(gone: readonly Line[], come: readonly Line[]): StepChange[] {
  const waiting = [...come];
  const changes = gone.map((line): StepChange => {
    const index = waiting.findIndex(({ kind }) => kind === line.kind);
    if (index < 0) return { before: line.read };
    const [partner] = waiting.splice(index, 1);
    return { before: line.read, after: partner.read };
  });
  return [...changes, ...waiting.map(({ read }) => ({ after: read }))];
}
