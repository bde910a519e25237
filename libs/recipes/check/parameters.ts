import { isObject, listAt, numberAt, textAt } from './loose.js';
import type { Known, Names } from './names.js';
import { nameProblem, type Place, type RecipeReader } from './reader.js';
import type { RecipeProblem } from './recipe-problem.js';

/** Check the parameters of a recipe; the names they are known by. */
export function checkParameters(
  parameters: readonly unknown[],
  reader: RecipeReader,
  standing: Names,
): readonly (readonly [string, Known])[] {
  const known: (readonly [string, Known])[] = [];
  for (const [index, parameter] of parameters.entries()) {
    if (!isObject(parameter) || reader.isFull) continue;
    const place = { path: ['parameters', index] };
    const name = textAt(parameter, 'name');
    const problem =
      name === undefined ? undefined : nameProblem(name, standing.with(known), name, takenBy(name, known));
    if (problem !== undefined) reader.problem(at(place, 'name'), problem);
    const kind = kindOf(parameter);
    if (name !== undefined && kind !== undefined && problem === undefined) known.push([name, kind]);
    if (kind === 'word') checkChoice(parameter, place, reader);
    else checkAmount(parameter, place, reader, standing);
  }
  return known;
}

function takenBy(name: string, known: readonly (readonly [string, Known])[]): string | undefined {
  return known.some(([other]) => other === name) ? 'a parameter before it' : undefined;
}

function kindOf(parameter: object): Known | undefined {
  if ('oneOf' in parameter) return 'word';
  const quantity = textAt(parameter, 'quantity');
  return quantity === 'length' || quantity === 'angle' || quantity === 'ratio' ? quantity : undefined;
}

function checkChoice(parameter: object, place: Place, reader: RecipeReader): void {
  const words = listAt(parameter, 'oneOf');
  if (new Set(words).size < words.length) {
    reader.problem(at(place, 'oneOf'), {
      code: 'CONFLICT',
      allowed: 'each word once',
      message: 'A word stands twice.',
      action: 'Take one of them out.',
    });
  }
  for (const field of ['default', 'defaultAsIs']) {
    const word = textAt(parameter, field);
    if (word === undefined || words.includes(word)) continue;
    const list = words.filter((found) => typeof found === 'string').join(', ');
    reader.problem(at(place, field), {
      code: 'CONFLICT',
      allowed: list,
      message: `${JSON.stringify(word.slice(0, 60))} is none of its words.`,
      action: `Write one of ${list}, or add it to them.`,
    });
  }
}

function checkAmount(parameter: object, place: Place, reader: RecipeReader, standing: Names): void {
  const [min, max, usual] = ['min', 'max', 'default'].map((field) => numberAt(parameter, field));
  const conflict = (field: string, allowed: string, message: string, action: string): void =>
    reader.problem(at(place, field), { code: 'CONFLICT', allowed, message, action } satisfies Omit<
      RecipeProblem,
      'path'
    >);
  if (min !== undefined && max !== undefined && min > max) {
    conflict(
      'min',
      `at most ${max}`,
      `The least amount, ${min}, is above the most, ${max}.`,
      'Exchange them.',
    );
  } else if (
    usual !== undefined &&
    ((min !== undefined && usual < min) || (max !== undefined && usual > max))
  ) {
    conflict(
      'default',
      `${min} to ${max}`,
      `The default ${usual} is outside ${min} to ${max}.`,
      'Move it, or its limits.',
    );
  }
  const share = textAt(parameter, 'shareOf');
  if (share === undefined) return;
  if (textAt(parameter, 'quantity') !== 'length') {
    conflict(
      'shareOf',
      'left out',
      'Only a length can be sent as a share of another.',
      'Take "shareOf" out.',
    );
    return;
  }
  reader.formula(share, at(place, 'shareOf'), standing, ['length']);
}

function at(place: Place, name: string): Place {
  return { ...place, path: [...place.path, name] };
}
