import { BUILT_IN_RECIPES, type ParameterValue, type ParameterValues, type Recipe } from '#recipes';
import { nearestName } from '#spelling';
import { z } from 'zod';

import { HOUSE_ALTERATIONS } from './alteration-catalogue.js';
import type { Json } from './canonical-json.js';
import { either, field, fields, notOneOf, said, wrongType, type Read } from './field.js';
import { issuesToProblems, textOf, toProblem, valueOf } from './issues-to-problems.js';
import { pointerOf, type Problem } from './problem.js';
import { RECIPE, readRecipe, recipeJson, recipeLimitProblems, type ReadRecipe } from './recipe.js';
import { amountsForm, amountsJson, completeAmounts, type MadeFrom } from './recipe-parameters.js';

/** One alteration as it is understood: which one, and every amount of it. */
export interface AlterationRequest {
  /** Name of one of the house, or name and version of a shop's own, like "house-style@3". */
  readonly use: string;
  readonly with: ParameterValues;
  /** The shop's own, whole: so a request stands for itself, whatever becomes of the recipe where it was stored. */
  readonly recipe?: ReadRecipe;
}

/** The alterations that come with the house. */
export const ALTERATION_NAMES: readonly string[] = [...HOUSE_ALTERATIONS.keys()];

const USE_PATTERN = '^[a-z][a-z0-9-]{0,47}(@[1-9][0-9]{0,8})?$';
const USE_EXPRESSION = new RegExp(USE_PATTERN);
const USE_FORM = 'the name of an alteration, or its name and version like "house-style@3"';

const USE_NAMED = field(
  { form: USE_FORM },
  (found): Read<string> =>
    typeof found === 'string' && USE_EXPRESSION.test(found)
      ? { value: found }
      : { fault: wrongType(found, { form: USE_FORM }) },
  { type: 'string', pattern: USE_PATTERN },
);

// What a recipe's amounts may be is seen beside the schema, since it depends on the recipe.
const AMOUNTS = z.unknown().optional();

const WITH_RECIPE = fields({ use: USE_NAMED.optional(), recipe: RECIPE, with: AMOUNTS });

const BUILT_IN = BUILT_IN_RECIPES.map((recipe) =>
  fields({ use: said(z.literal(recipe.name), recipe.summary), with: amountsForm(recipe).optional() }),
);

/** A shop's own that is stored: the service puts the recipe in its place before it is read. */
const OF_THE_SHOP = fields({ use: USE_NAMED, with: z.looseObject({}).optional() });

const BY_NAME = fields({
  use: field({ oneOf: ALTERATION_NAMES }, (found): Read<string> => {
    if (typeof found !== 'string') return { fault: wrongType(found, { form: USE_FORM }) };
    return ALTERATION_NAMES.includes(found) ? { value: found } : { fault: noSuchAlteration(found) };
  }),
  with: AMOUNTS,
});

function noSuchAlteration(found: string) {
  const fault = notOneOf(found, ALTERATION_NAMES);
  if (nearestName(found, ALTERATION_NAMES) !== undefined) return fault;
  const action = `${fault.action} A recipe of your own is sent as "recipe", or published in the service first.`;
  return { ...fault, action };
}

/** One of the list `alterations`. */
export const ALTERATION_FORM = either<unknown>(
  (found) => (valueOf(found, 'recipe') === undefined ? BY_NAME : WITH_RECIPE),
  [...BUILT_IN, OF_THE_SHOP, WITH_RECIPE],
).meta({ id: 'AlterationRequest' });

/**
 * What no single field of an alteration shows: whether its recipe holds together, and whether its amounts are the
 * recipe's. Judged on what can be read, beside the schema, for the reason given at `measureProblems`.
 */
export function alterationProblems(alterations: unknown, path: readonly (string | number)[]): Problem[] {
  if (!Array.isArray(alterations)) return [];
  return alterations.flatMap((alteration, index) => problemsOf(alteration, [...path, index]));
}

/** What is too large about the recipes of a list of alterations; to be asked before their form is looked at. */
export function alterationLimitProblems(alterations: unknown, path: readonly (string | number)[]): Problem[] {
  if (!Array.isArray(alterations)) return [];
  return alterations.flatMap((alteration, index) =>
    recipeLimitProblems(valueOf(alteration, 'recipe')).map((problem) =>
      inside(problem, [...path, index, 'recipe']),
    ),
  );
}

function problemsOf(alteration: unknown, path: readonly (string | number)[]): Problem[] {
  const sent = valueOf(alteration, 'recipe');
  if (sent === undefined) {
    const recipe = HOUSE_ALTERATIONS.get(textOf(alteration, 'use'));
    return recipe === undefined ? [] : amountProblems(recipe, alteration, path);
  }
  const read = readRecipe(sent);
  // The form of the recipe was said by the schema of the alteration; what is said here is what it does not see.
  if (!read.ok)
    return read.problems.filter(isNotOfTheForm).map((problem) => inside(problem, [...path, 'recipe']));
  return [...nameProblems(read.value, alteration, path), ...amountProblems(read.value, alteration, path)];
}

function isNotOfTheForm({ ofTheForm }: Problem): boolean {
  return ofTheForm !== true;
}

function inside(problem: Problem, path: readonly (string | number)[]): Problem {
  return { ...problem, pointer: `${pointerOf(path)}${problem.pointer}` };
}

function nameProblems(
  { name }: ReadRecipe,
  alteration: unknown,
  path: readonly (string | number)[],
): Problem[] {
  if (HOUSE_ALTERATIONS.has(name)) return [nameTaken([...path, 'recipe', 'name'], name)];
  const use = valueOf(alteration, 'use');
  if (use === undefined || nameOf(textOf(alteration, 'use')).name === name) return [];
  return [
    toProblem([...path, 'use'], use, {
      code: 'CONFLICT',
      allowed: { form: `"${name}", with or without a version` },
      says: `does not name the recipe beside it, which is "${name}"`,
      action: 'Take "use" out, or name the recipe as it names itself.',
    }),
  ];
}

/** What is said of a recipe that is called like one of the house. */
export function nameTaken(path: readonly (string | number)[], name: string): Problem {
  return toProblem(path, name, {
    code: 'CONFLICT',
    allowed: { form: 'a name that no alteration of the house has' },
    says: `is "${name}", and an alteration of the house is called so`,
    action: 'Choose another name.',
  });
}

function amountProblems(
  recipe: ReadRecipe,
  alteration: unknown,
  path: readonly (string | number)[],
): Problem[] {
  const sent = valueOf(alteration, 'with');
  if (sent === undefined) return [];
  const parsed = amountsForm(recipe).safeParse(sent);
  if (parsed.success) return [];
  const root = [...path, 'with'];
  return issuesToProblems(
    parsed.error.issues.map((issue) => ({ ...issue, path: [...root, ...issue.path] })),
    nested(root, sent),
  );
}

// The value again under its whole path, so that what was found at a place can be looked up there.
function nested(path: readonly (string | number)[], value: unknown): unknown {
  return path.reduceRight<unknown>((under, key) => ({ [key]: under }), value);
}

/** An alteration that has passed the schema and shown no problem, with every amount in its place. */
export function alterationRequest(alteration: unknown, madeFrom: MadeFrom): AlterationRequest {
  const use = valueOf(alteration, 'use') as string | undefined;
  const sent = valueOf(alteration, 'recipe');
  const recipe = sent === undefined ? houseRecipe(use ?? '') : (sent as ReadRecipe);
  const amounts = amountsForm(recipe).parse(valueOf(alteration, 'with') ?? {}) as Record<
    string,
    ParameterValue
  >;
  return {
    use: use ?? recipe.name,
    with: completeAmounts(recipe, amounts, madeFrom),
    ...(sent === undefined ? {} : { recipe }),
  };
}

function houseRecipe(use: string): Recipe {
  const recipe = HOUSE_ALTERATIONS.get(use);
  if (recipe === undefined) throw new Error(`the alteration ${use} came through the door`);
  return recipe;
}

/** An alteration of the house with all its default amounts, for a block drafted from the body. */
export function alterationByDefault(use: string): AlterationRequest {
  return alterationRequest({ use }, 'from-body');
}

/** An alteration as JSON of the contract: one of the house by its name, any other with its recipe. */
export function alterationJson({ use, recipe, with: amounts }: AlterationRequest): Json {
  if (recipe === undefined) return { use, with: amountsJson(houseRecipe(use), amounts) };
  return { use, with: amountsJson(recipe, amounts), recipe: recipeJson(recipe) };
}

/** Name and version of what a request says in `use`. */
export function nameOf(use: string): { readonly name: string; readonly version?: number } {
  const [name, version] = use.split('@');
  return { name, ...(version === undefined ? {} : { version: Number(version) }) };
}

/** The alterations of a request that the house does not have and that bring no recipe: the shop's own, by `use`. */
export function usesOfTheShop(alterations: unknown): string[] {
  if (!Array.isArray(alterations)) return [];
  return alterations.flatMap((alteration) => {
    const use = valueOf(alteration, 'use');
    if (typeof use !== 'string' || !USE_EXPRESSION.test(use) || valueOf(alteration, 'recipe') !== undefined)
      return [];
    return HOUSE_ALTERATIONS.has(use) ? [] : [use];
  });
}
