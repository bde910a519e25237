import { STANDING_POINTS, STANDING_QUANTITIES } from '../standing-names.js';
import { Names, type Known, type Standing } from './names.js';
import { checkParameters } from './parameters.js';
import { RecipeReader, nameProblem, type Place, type WhyUnknown } from './reader.js';
import { RECIPE_PROBLEMS_MAX, type RecipeProblem } from './recipe-problem.js';
import { givenIn, type Given } from './given-names.js';
import { isObject, listAt, textAt } from './loose.js';
import { resultNames, standingOf, type OperationForm } from './operation-form.js';

/**
 * Everything that is wrong with a recipe whose form is right, without running it.
 *
 * Shape      takes the JSON as it was sent and looks at what can be read of it, so that a slip in one field hides
 *            nothing of the others; fields that are missing or of the wrong form are the contract's matter.
 * Checks     every name is known where it is used, every formula makes sense of its units, every reference is a point,
 *            no names wait for each other, limits and defaults agree, every parameter is used, guards name what they
 *            are about.
 * Edges      at most a hundred problems, after which nothing more is looked at.
 * Cost       in proportion to the recipe.
 */
export function checkRecipe(json: unknown, operations: ReadonlyMap<string, OperationForm>): RecipeProblem[] {
  if (!isObject(json)) return [];
  const given = givenIn(json, operations);
  const check = new RecipeCheck(operations, given, checkedChoices(json));
  check.recipe(json);
  return check.problems.slice(0, RECIPE_PROBLEMS_MAX);
}

const STANDING: ReadonlyMap<string, Known> = new Map<string, Known>([
  ...STANDING_QUANTITIES,
  ...[...STANDING_POINTS].map((name): [string, Known] => [name, 'point']),
]);

function checkedChoices(json: object): ReadonlyMap<string, readonly string[]> {
  return new Map(
    listAt(json, 'parameters').flatMap((parameter): [string, string[]][] => {
      const name = textAt(parameter, 'name');
      const words = listAt(parameter, 'oneOf').filter((word) => typeof word === 'string');
      return name === undefined || words.length === 0 ? [] : [[name, words]];
    }),
  );
}

class RecipeCheck {
  private readonly reader: RecipeReader;
  private count = 0;

  constructor(
    private readonly operations: ReadonlyMap<string, OperationForm>,
    private readonly given: Given,
    choices: ReadonlyMap<string, readonly string[]>,
  ) {
    this.reader = new RecipeReader(choices, this.whyUnknown);
  }

  get problems(): readonly RecipeProblem[] {
    return this.reader.problems;
  }

  recipe(json: object): void {
    const standing = new Names(STANDING);
    const parameters = checkParameters(listAt(json, 'parameters'), this.reader, standing);
    this.steps(listAt(json, 'steps'), ['steps'], standing.with(parameters));
    for (const [index, parameter] of listAt(json, 'parameters').entries()) {
      const name = textAt(parameter, 'name');
      if (name === undefined || this.reader.used.has(name)) continue;
      this.reader.problem(
        { path: ['parameters', index] },
        {
          code: 'WITHOUT_EFFECT',
          allowed: 'a parameter that a step uses',
          message: `Nothing in the recipe uses "${name.slice(0, 60)}".`,
          action: 'Use it in a formula, or take it out.',
        },
      );
    }
  }

  private steps(steps: readonly unknown[], path: readonly (string | number)[], from: Names): void {
    let names = from;
    for (const [index, step] of steps.entries()) {
      if (this.reader.isFull) return;
      const place = { path: [...path, index], step: ++this.count };
      names = names.with(this.step(step, place, names));
    }
  }

  /** Check one step; the names it gives to those after it. */
  private step(step: unknown, place: Place, names: Names): readonly (readonly [string, Known])[] {
    if (!isObject(step)) return [];
    if ('do' in step) return this.operation(step, place, names);
    if ('let' in step) return this.value(step, place, names);
    if ('guard' in step) this.guard(step, place, names);
    else if ('report' in step) this.reader.formula(textAt(step, 'value'), at(place, 'value'), names);
    else if ('when' in step) {
      this.reader.formula(textAt(step, 'when'), at(place, 'when'), names, ['yes-no']);
      this.steps(listAt(step, 'steps'), [...place.path, 'steps'], names);
    }
    return [];
  }

  private operation(step: object, place: Place, names: Names): readonly (readonly [string, Known])[] {
    const operation = this.operations.get(textAt(step, 'do') ?? '');
    if (operation === undefined) return [];
    const on = textAt(step, 'on');
    const standing = standingOf(operation, on);
    if (on !== undefined && operation.scope === 'pair') {
      const message = `"${operation.name}" works on front and back together.`;
      this.reader.problem(at(place, 'on'), {
        code: 'WITHOUT_EFFECT',
        allowed: 'left out',
        message,
        action: 'Take "on" out.',
      });
    }
    const args = isObject(step) && 'with' in step ? step['with'] : undefined;
    for (const [name, { kind }] of Object.entries(operation.arguments)) {
      const found = textAt(args, name);
      if (found === undefined) continue;
      const where = { ...at(place, 'with', name), standing };
      if (kind === 'point') this.reader.point(found, where, names);
      else if (kind === 'length' || kind === 'angle' || kind === 'ratio')
        this.reader.formula(found, where, names, [kind]);
    }
    return this.results(step, operation, standing, place, names);
  }

  private results(
    step: object,
    operation: OperationForm,
    standing: Standing,
    place: Place,
    names: Names,
  ): readonly (readonly [string, Known])[] {
    const as = textAt(step, 'as');
    if (as === undefined) return [];
    const results = resultNames(operation, standing, as);
    if (results.length === 0) {
      const message = `"${operation.name}" leaves nothing that could have a name.`;
      this.reader.problem(at(place, 'as'), {
        code: 'WITHOUT_EFFECT',
        allowed: 'left out',
        message,
        action: 'Take "as" out.',
      });
      return [];
    }
    const problem =
      nameProblem(as, names, as, this.takenBy(as)) ??
      results.map(([name]) => nameProblem(name, names, as, this.takenBy(name))).find((found) => found);
    if (problem !== undefined) {
      this.reader.problem(at(place, 'as'), problem);
      return [];
    }
    return results;
  }

  private value(step: object, place: Place, names: Names): readonly (readonly [string, Known])[] {
    const name = textAt(step, 'let');
    const quantity = this.reader.formula(textAt(step, 'is'), at(place, 'is'), names);
    if (name === undefined) return [];
    const stem = name.replace(/^(front|back)\./, '');
    const problem = nameProblem(name, names, stem, this.takenBy(name));
    if (problem !== undefined) this.reader.problem(at(place, 'let'), problem);
    // What it would be is not known: taken for a length, so that one slip is not said again wherever the name stands.
    return problem === undefined ? [[name, quantity ?? 'length']] : [];
  }

  /** What has given a name that is asked for again; the first that did. */
  private takenBy(name: string): string | undefined {
    if (this.given.parameters.has(name)) return 'a parameter';
    const [first] = this.given.names.get(name) ?? [];
    return first === undefined || first.step >= this.count ? undefined : `step ${first.step}`;
  }

  private guard(step: object, place: Place, names: Names): void {
    const { reader } = this;
    reader.formula(textAt(step, 'guard'), at(place, 'guard'), names, ['yes-no']);
    for (const field of ['message', 'action', 'otherwise']) {
      reader.sentence(textAt(step, field), at(place, field), names, RANGE);
    }
    const numbers = 'numbers' in step ? step.numbers : undefined;
    if (isObject(numbers)) {
      for (const name of Object.keys(numbers))
        reader.formula(textAt(numbers, name), at(place, 'numbers', name), names);
    }
    const spot = 'place' in step ? textAt(step.place, 'at') : undefined;
    if (spot !== undefined) reader.point(spot, at(place, 'place', 'at'), names);
    this.range(step, place, names);
  }

  private range(step: object, place: Place, names: Names): void {
    const of = textAt(step, 'of');
    const quantity = of === undefined ? undefined : names.quantity(of, undefined);
    if (of !== undefined) {
      this.reader.used.add(of);
      if (!this.given.parameters.has(of)) {
        const allowed = 'a parameter of the recipe';
        const message = `There is no parameter ${JSON.stringify(of.slice(0, 60))}.`;
        this.reader.problem(at(place, 'of'), {
          code: 'UNKNOWN_NAME',
          allowed,
          message,
          action: 'Name the parameter that is the cause.',
        });
      }
    }
    const allowed = 'allowed' in step ? step.allowed : undefined;
    for (const limit of ['min', 'max']) {
      const expected = quantity === undefined || quantity === 'word' ? undefined : [quantity];
      const text = textAt(allowed, limit);
      if (text !== undefined) this.reader.formula(text, at(place, 'allowed', limit), names, expected);
    }
  }

  private readonly whyUnknown: WhyUnknown = (name, { step = 0, path }) => {
    const plain = name.replace(/^this\./, '').replace(/\.[xy]$/, '');
    const places = this.given.names.get(plain) ?? this.given.names.get(name.replace(/\.[xy]$/, ''));
    const [first] = places ?? [];
    if (first === undefined) {
      if (!name.startsWith('this.')) return undefined;
      return {
        code: 'UNKNOWN_NAME',
        action:
          'Write front. or back. in place of this. where the step is not on one piece, or name what both have.',
      };
    }
    if (first.step === step && path.at(-1) === 'is') {
      return { code: 'CIRCLE', action: 'A value cannot be made of itself; name what it is made of.' };
    }
    if (this.given.waitsFor(first, step)) {
      return {
        code: 'CIRCLE',
        action: `Step ${first.step} waits for this one in turn; write one of the two without the other.`,
      };
    }
    if (first.step < step) {
      const action = `It is given inside the condition of step ${first.step} and not known after it; give it before, with if(...).`;
      return { code: 'UNKNOWN_NAME', action };
    }
    return {
      code: 'UNKNOWN_NAME',
      action: `It is given only in step ${first.step}; move that step above this one.`,
    };
  };
}

/** The sentences of a guard may say the range that is left. */
const RANGE: ReadonlySet<string> = new Set(['allowed']);

function at(place: Place, ...names: readonly string[]): Place {
  return { ...place, path: [...place.path, ...names] };
}
