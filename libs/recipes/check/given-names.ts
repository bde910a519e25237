import { parseFormula } from '../formula/parse-formula.js';
import { isObject, listAt, textAt } from './loose.js';
import { resultNames, standingOf, type OperationForm } from './operation-form.js';

/** Where a name is given. */
export interface GivenAt {
  /** From 1, in reading order. */
  readonly step: number;
}

/** All that a recipe gives, wherever it stands: so that a name used too early can be told from one that is nowhere. */
export interface Given {
  readonly parameters: ReadonlySet<string>;
  readonly names: ReadonlyMap<string, readonly GivenAt[]>;
  /** Whether what is given there is made, by whatever way, of what the step gives. */
  readonly waitsFor: (at: GivenAt, step: number) => boolean;
}

/** Steps inside conditions are looked into this deep; the contract lets none through that are deeper. */
const NESTING_MAX = 4;

export function givenIn(recipe: object, operations: ReadonlyMap<string, OperationForm>): Given {
  const names = new Map<string, GivenAt[]>();
  const needs = new Map<number, readonly string[]>();
  const add = (name: string, step: number) => names.set(name, [...(names.get(name) ?? []), { step }]);
  let count = 0;
  const visit = (steps: readonly unknown[], depth: number): void => {
    for (const step of steps) {
      const number = ++count;
      for (const name of namesGiven(step, operations)) add(name, number);
      needs.set(number, namesNeeded(step));
      if (depth < NESTING_MAX) visit(listAt(step, 'steps'), depth + 1);
    }
  };
  visit(listAt(recipe, 'steps'), 0);
  const parameters = listAt(recipe, 'parameters').flatMap((parameter) => textAt(parameter, 'name') ?? []);
  return {
    parameters: new Set(parameters),
    names,
    waitsFor: ({ step }, other) => reaches(step, other, names, needs),
  };
}

function namesGiven(step: unknown, operations: ReadonlyMap<string, OperationForm>): string[] {
  const name = textAt(step, 'let');
  if (name !== undefined) return [name];
  const operation = operations.get(textAt(step, 'do') ?? '');
  const as = textAt(step, 'as');
  if (operation === undefined || as === undefined) return [];
  return resultNames(operation, standingOf(operation, textAt(step, 'on')), as).map(([result]) => result);
}

function namesNeeded(step: unknown): readonly string[] {
  const args = isObject(step) && isObject(step['with']) ? Object.values(step['with']) : [];
  return [textAt(step, 'is'), ...args].flatMap((text) => {
    const parsed = typeof text === 'string' ? parseFormula(text) : undefined;
    return parsed?.ok === true ? parsed.formula.names.map(({ name }) => name) : [];
  });
}

// Breadth first over steps, each looked at once.
function reaches(
  from: number,
  to: number,
  names: ReadonlyMap<string, readonly GivenAt[]>,
  needs: ReadonlyMap<number, readonly string[]>,
): boolean {
  const seen = new Set([from]);
  const waiting = [from];
  for (let step = waiting.pop(); step !== undefined; step = waiting.pop()) {
    for (const name of needs.get(step) ?? []) {
      for (const given of names.get(name.replace(/\.[xy]$/, '')) ?? names.get(name) ?? []) {
        if (given.step === to) return true;
        if (!seen.has(given.step)) waiting.push(given.step);
        seen.add(given.step);
      }
    }
  }
  return false;
}
