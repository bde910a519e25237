import { OPERATIONS, type Operation } from '#alterations';
import { checkRecipe, type Recipe, type RecipeProblem, type Step } from '#recipes';
import { z } from 'zod';
import type { Json } from './canonical-json.js';
import {
  either,
  field,
  fields,
  line,
  list,
  number,
  oneOf,
  said,
  whole,
  wrongType,
  type Read,
} from './field.js';
import { issuesToProblems, textOf, toProblem, valueOf } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, foundInWords, placeInWords, pointerOf, type Parsed, type Problem } from './problem.js';
import { withStep } from './step-of-field.js';
import { LEFT_OUT } from './wire-form.js';

type Operations = ReadonlyMap<string, Operation>;

/** Sizes a recipe may have. The longest of the house has some sixty steps; beyond these nobody reads one. */
const STEPS_MAX = 200;
const PARAMETERS_MAX = 40;
const WORDS_MAX = 20;
const FORMULA_LENGTH_MAX = 400;
const SENTENCE_LENGTH_MAX = 400;
const NAME_LENGTH_MAX = 48;

/** All values of a recipe together, steps inside conditions counted in: what is read of a hostile one. */
const RECIPE_VALUES_MAX = 4_000;

/** Beyond any amount of a pattern, in mm, degrees or without unit. */
const AMOUNT_MAX = 5_000;

const RECIPE_NAME_PATTERN = '^[a-z][a-z0-9-]{0,47}$';

const RECIPE_NAME = matching(
  RECIPE_NAME_PATTERN,
  'a name of small letters, digits and dashes, like house-style',
);
const NAME = line(NAME_LENGTH_MAX);
const SENTENCE = line(SENTENCE_LENGTH_MAX);
const FORMULA = said(written('a formula as text, like "hemIn / 2" or "20 mm"'), 'A formula.');
const REFERENCE = said(written('a point as text, like "front.fork"'), 'A point.');

/** A formula that was sent as a number is the commonest slip: what to write is said with the number in it. */
function written(form: string) {
  return field(
    { form },
    (found): Read<string> => {
      if (typeof found === 'number') {
        const fault = wrongType(found, { form });
        return {
          fault: {
            ...fault,
            action: `Write it as text with its unit, like "${found} mm", "${found} deg" or "${found}".`,
          },
        };
      }
      if (typeof found !== 'string' || found.length > FORMULA_LENGTH_MAX)
        return { fault: wrongType(found, { form }) };
      return { value: found };
    },
    { type: 'string', minLength: 1, maxLength: FORMULA_LENGTH_MAX },
  );
}

function matching(pattern: string, form: string) {
  const expression = new RegExp(pattern);
  return field(
    { form },
    (found): Read<string> =>
      typeof found === 'string' && expression.test(found)
        ? { value: found }
        : { fault: wrongType(found, { form }) },
    { type: 'string', pattern },
  );
}

const amount = number({ min: -AMOUNT_MAX, max: AMOUNT_MAX, unit: '' });

const AMOUNT_PARAMETER = fields({
  name: NAME,
  quantity: oneOf(['length', 'angle', 'ratio']),
  default: said(amount, 'In mm, degrees, or without unit.'),
  min: amount,
  max: amount,
  help: SENTENCE,
  shareOf: said(FORMULA.optional(), 'The length that a plain number is a share of.'),
  shareWords: SENTENCE.optional(),
  lengthMax: said(amount.optional(), 'The most that may be sent as a length, in mm.'),
});

const CHOICE_PARAMETER = fields({
  name: NAME,
  oneOf: list(
    matching('^[A-Za-z][A-Za-z0-9-]{0,47}$', 'a word of letters, digits and dashes'),
    WORDS_MAX,
  ).min(1),
  default: NAME,
  defaultAsIs: said(
    NAME.optional(),
    'In place of `default` where the block is your own and used as it stands.',
  ),
  help: SENTENCE,
});

const PARAMETER = either<z.output<typeof AMOUNT_PARAMETER> | z.output<typeof CHOICE_PARAMETER>>(
  (found) => (has(found, 'oneOf') ? CHOICE_PARAMETER : AMOUNT_PARAMETER),
  [AMOUNT_PARAMETER, CHOICE_PARAMETER],
).meta({ id: 'RecipeParameter' });

const LET = fields({ let: said(NAME, 'The name.'), is: FORMULA });

const GUARD = fields({
  guard: said(FORMULA, 'What must hold.'),
  level: oneOf(['refuse', 'stop', 'warning', 'info']),
  code: matching('^[A-Z][A-Z0-9_]{0,63}$', 'a code in capitals, like HEM_TOO_NARROW'),
  message: said(SENTENCE, 'What is wrong when it does not hold, with formulas in braces.'),
  action: said(SENTENCE, 'What to do then.'),
  otherwise: SENTENCE.optional(),
  of: said(NAME.optional(), 'The parameter that is the cause.'),
  allowed: fields({ min: FORMULA.optional(), max: FORMULA.optional() }).optional(),
  place: fields({
    piece: oneOf(['front', 'back']).optional(),
    part: NAME.optional(),
    at: REFERENCE.optional(),
  }).optional(),
  numbers: z.record(z.string(), FORMULA, { error: () => 'an object of figures, each a formula' }).optional(),
});

const REPORT = fields({ report: SENTENCE, value: FORMULA });

const ON = oneOf(['front', 'back', 'both']).optional();

function operationOf(operations: Operations) {
  const steps = new Map(
    [...operations.values()].map((operation) => [operation.name, operationStep(operation)] as const),
  );
  const unknown = fields({
    do: oneOf([...steps.keys()]),
    with: z.unknown().optional(),
    on: ON,
    as: NAME.optional(),
  });
  return either<unknown>((found) => steps.get(textOf(found, 'do')) ?? unknown, [...steps.values()]).meta({
    id: 'RecipeOperation',
  });
}

function operationStep({ name, summary, arguments: args }: Operation) {
  const shape = Object.entries(args).map(([argument, { kind, says, oneOf: words, optional }]) => {
    const form =
      words !== undefined
        ? oneOf(words)
        : kind === 'point'
          ? REFERENCE
          : kind === 'text'
            ? SENTENCE
            : FORMULA;
    const schema = form.meta({ description: `${kind}: ${says}.` });
    return [argument, optional === true ? schema.optional() : schema] as const;
  });
  const needed = Object.values(args).some(({ optional }) => optional !== true);
  const given = fields(Object.fromEntries(shape));
  return fields({
    do: oneOf([name]).meta({ description: summary }),
    with: needed ? given : given.optional(),
    on: ON,
    as: NAME.optional(),
  });
}

const STEP_FORM = 'a step: an object with one of do, let, guard, report, when';

const NO_STEP = field({ form: STEP_FORM }, (found): Read<never> => ({
  fault: wrongType(found, { form: STEP_FORM }),
}));

const TOO_DEEP = field(
  { form: 'no condition here' },
  (): Read<never> => {
    const says = 'is a condition inside two others';
    const action = 'Join the conditions with "and".';
    return { fault: { code: 'TOO_DEEP', allowed: { form: 'no condition here' }, says, action } };
  },
  LEFT_OUT,
);

function stepOf(operation: z.ZodType, inner?: z.ZodType) {
  const kinds: readonly (readonly [string, z.ZodType])[] = [
    ['do', operation],
    ['let', LET],
    ['guard', GUARD],
    ['report', REPORT],
    ...(inner === undefined
      ? []
      : [['when', fields({ when: FORMULA, steps: list(inner, STEPS_MAX).min(1) })] as const]),
  ];
  return either<unknown>(
    (found) => kinds.find(([key]) => has(found, key))?.[1] ?? (has(found, 'when') ? TOO_DEEP : NO_STEP),
    kinds.map(([, kind]) => kind),
  );
}

const NEEDS = fields({ darts: list(oneOf(['front', 'back']), 2).optional() });

/** A recipe as it is sent, with the operations there are. */
export function recipeForm(operations: Operations) {
  const operation = operationOf(operations);
  // A condition may hold conditions, and those none: deeper nesting is not read, by people either.
  const innermost = stepOf(operation).meta({ id: 'RecipeInnermostStep' });
  const inner = stepOf(operation, innermost).meta({ id: 'RecipeInnerStep' });
  const step = stepOf(operation, inner).meta({ id: 'RecipeStep' });
  return fields({
    name: said(RECIPE_NAME, 'What a request says in `use`.'),
    title: line(80),
    summary: said(SENTENCE, 'One sentence: what it does.'),
    said: said(SENTENCE.optional(), 'How sheets say it, with parameters in braces.'),
    unit: said(oneOf(['mm', 'cm', 'in']).optional(), 'The unit of its readable form.'),
    needs: said(NEEDS.optional(), 'What a block must have.'),
    parameters: list(PARAMETER, PARAMETERS_MAX),
    steps: list(step, STEPS_MAX).min(1),
    operations: said(
      z
        .record(z.string(), whole({ min: 1, max: 1_000_000, unit: '' }), {
          error: () => 'an object with the version of each operation',
        })
        .optional(),
      'The version of each operation it was published with; written by the service.',
    ),
  }).meta({ id: 'Recipe' });
}

export const RECIPE = recipeForm(OPERATIONS);

/** A recipe as it was read, and the versions of operations it was published with. */
export type ReadRecipe = Recipe & { readonly operations?: Readonly<Record<string, number>> };

/**
 * Read a recipe, or say everything that is wrong with it, field by field and step by step.
 *
 * Shape      pointers start at the recipe; problems inside a formula have a column, those of a step its number.
 * Edges      sizes are bounded before anything is looked at: values in all, steps, depth, the length of every text.
 */
export function readRecipe(json: unknown): Parsed<ReadRecipe> {
  return readRecipeBy(RECIPE, OPERATIONS, json);
}

export function readRecipeBy(form: z.ZodType, operations: Operations, json: unknown): Parsed<ReadRecipe> {
  const limits = recipeLimitProblems(json);
  if (limits.length > 0) return { ok: false, problems: limits };
  if (isAnswer(json)) return { ok: false, problems: [notTheRecipe(json)] };
  const parsed = form.safeParse(json);
  const problems = [
    ...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json).map(ofTheForm)),
    ...checkRecipe(json, operations).map((problem) => recipeProblem(problem, json)),
    ...versionProblems(json, operations),
  ];
  return parsed.success && problems.length === 0
    ? { ok: true, value: parsed.data as ReadRecipe }
    : { ok: false, problems: atMost(problems).map((problem) => withStep(problem, json)) };
}

/** Whether it is what the service says of a recipe, with the recipe inside. */
function isAnswer(json: unknown): boolean {
  const inside = valueOf(json, 'recipe');
  return typeof inside === 'object' && inside !== null && valueOf(json, 'steps') === undefined;
}

// One problem in place of one for each field around the recipe, none of which is what to mend.
function notTheRecipe(json: unknown): Problem {
  return toProblem([], json, {
    code: 'WRONG_TYPE',
    allowed: { form: 'a recipe' },
    says: 'is an answer about a recipe, which holds the recipe itself as "recipe"',
    action: 'Send what stands in "recipe" alone: the object with name, title, parameters and steps.',
  });
}

function ofTheForm(problem: Problem): Problem {
  return { ...problem, ofTheForm: true };
}

/** A recipe as JSON of the contract. */
export function recipeJson(recipe: ReadRecipe): Json {
  return JSON.parse(JSON.stringify(recipe)) as Json;
}

/** The recipe with the version of each operation it uses, as it is published. */
export function pinnedRecipe(recipe: ReadRecipe, operations: Operations = OPERATIONS): ReadRecipe {
  const used = [...new Set(operationNames(recipe.steps))].sort();
  return {
    ...recipe,
    operations: Object.fromEntries(used.map((name) => [name, operations.get(name)?.version ?? 0])),
  };
}

function operationNames(steps: readonly Step[]): string[] {
  return steps.flatMap((step) =>
    'do' in step ? [step.do] : 'when' in step ? operationNames(step.steps) : [],
  );
}

/** What is too large about a recipe; to be asked before its form is looked at. */
export function recipeLimitProblems(json: unknown): Problem[] {
  const limits = limitProblems(json);
  if (limits.length > 0) return atMost(limits);
  const steps = valueOf(json, 'steps');
  if (Array.isArray(steps) && steps.length > STEPS_MAX)
    return [tooMany(['steps'], steps, `${STEPS_MAX} steps`)];
  const count = countOf(json);
  return count <= RECIPE_VALUES_MAX ? [] : [tooMany([], json, `${RECIPE_VALUES_MAX} values in all`)];
}

function tooMany(path: readonly string[], found: unknown, allowed: string): Problem {
  return toProblem(path, found, {
    code: 'TOO_MANY',
    allowed: { form: `at most ${allowed}` },
    says: `holds more than ${allowed}`,
    action: 'Make two recipes of it, used one after the other.',
  });
}

// Depth is bounded by `limitProblems`, which has looked already.
function countOf(json: unknown): number {
  if (typeof json !== 'object' || json === null) return 1;
  return Object.values(json).reduce((sum: number, value) => sum + countOf(value), 1);
}

function recipeProblem(
  { path, step, column, code, allowed, message, action }: RecipeProblem,
  json: unknown,
): Problem {
  const where = column === undefined ? placeInWords(path) : `${placeInWords(path)}, column ${column}`;
  return {
    pointer: pointerOf(path),
    code,
    found: foundInWords(path.reduce<unknown>(valueOf, json)),
    allowed: { form: allowed },
    message: `${step === undefined ? '' : `Step ${step}, `}${where}: ${message}`,
    action,
    ...(step === undefined ? {} : { step }),
    ...(column === undefined ? {} : { column }),
  };
}

/** A published recipe that is sent again must find the operations it was published with. */
function versionProblems(json: unknown, operations: Operations): Problem[] {
  const pinned = valueOf(json, 'operations');
  if (typeof pinned !== 'object' || pinned === null || Array.isArray(pinned)) return [];
  return Object.entries(pinned).flatMap(([name, version]) => {
    const known = operations.get(name)?.version;
    if (version === known) return [];
    const form = known === undefined ? 'an operation of this service' : `version ${known}`;
    return [
      toProblem(['operations', name], version, {
        code: 'NOT_AVAILABLE',
        allowed: { form },
        says: `is version ${foundInWords(version)}, and this engine has ${known === undefined ? 'no such operation' : form}`,
        action: 'Make it with the engine it was published with, or publish it anew and look at what changes.',
      }),
    ];
  });
}

function has(found: unknown, name: string): boolean {
  return typeof found === 'object' && found !== null && Object.hasOwn(found, name);
}
