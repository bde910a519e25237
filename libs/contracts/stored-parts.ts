import { ALTERATION_NAMES, nameOf, usesOfTheShop } from './alteration-request.js';
import { readDraftRequest, type DraftRequestRead } from './draft-request.js';
import { toProblem, valueOf } from './issues-to-problems.js';
import { nearestName } from '#spelling';
import type { Json } from './canonical-json.js';
import { allowedInWords, atMost, foundInWords, type Problem } from './problem.js';

/** What a request names in place of writing it out. */
export interface NamedParts {
  readonly bodyId?: string;
  readonly blockId?: string;
  /** The shop's own alterations, as `use` says them: "house-style", "house-style@3". */
  readonly uses: readonly string[];
}

/** What is stored under them, as JSON of the contract; undefined where nothing is. */
export interface StoredParts {
  readonly body?: Json | undefined;
  readonly block?: Json | undefined;
  /** By `use`, as it was sent. */
  readonly recipes?: ReadonlyMap<string, StoredRecipe>;
}

/** A published version, or why the one that was named cannot be used. */
export type StoredRecipe =
  | { readonly version: number; readonly recipe: Json }
  | { readonly not: 'published' | 'there' | 'in-use'; readonly newest?: number };

/** A block may be named in its own place too: `"block": "blk_..."`. */
export function namedParts(json: unknown): NamedParts {
  const bodyId = valueOf(json, 'bodyId');
  const block = valueOf(json, 'block');
  const blockId = valueOf(json, 'blockId') ?? (isBlockId(block) ? block : undefined);
  return {
    ...(typeof bodyId === 'string' ? { bodyId } : {}),
    ...(typeof blockId === 'string' ? { blockId } : {}),
    uses: usesOfTheShop(valueOf(json, 'alterations')),
  };
}

function isBlockId(found: unknown): found is string {
  return typeof found === 'string' && found.startsWith('blk_');
}

type Part = 'body' | 'block';

/**
 * Read a draft request that may name a stored body or block, with what is stored in their place.
 *
 * What comes out names nothing: the same request with its parts written out, so that its files and their hash are
 * the same wherever it was sent. What is wrong with a stored part is said of the id, since that is what was sent.
 */
export function readDraftRequestWith(json: unknown, stored: StoredParts): DraftRequestRead {
  if (typeof json !== 'object' || json === null || Array.isArray(json)) return readDraftRequest(json);
  const named = (['body', 'block'] as const).filter((part) => isNamed(json, part));
  const recipes = withRecipes(valueOf(json, 'alterations'), stored.recipes ?? new Map());
  const problems = [
    ...named.flatMap((part) => namingProblems(json, part, stored[part])),
    ...recipes.problems,
  ];
  const written = withParts(json, named, stored);
  const read = readDraftRequest(
    recipes.alterations === undefined
      ? written
      : { ...(written as object), alterations: recipes.alterations },
  );
  if (read.ok) return problems.length === 0 ? read : { ok: false, problems };
  const others = read.problems
    .flatMap((problem) => saidOfTheId(problem, json, named, stored))
    .flatMap((problem) => saidOfTheUse(problem, recipes))
    .map(withTheIdAsWayOut);
  return { ok: false, problems: atMost([...problems, ...others]) };
}

/** Whoever sent neither has two ways to mend it. */
function withTheIdAsWayOut(problem: Problem): Problem {
  const { pointer, code, allowed, action } = problem;
  const part = pointer.slice(1);
  if (code !== 'MISSING' || (part !== 'body' && part !== 'block')) return problem;
  const orId = `the id of a stored ${part} as "${part}Id"`;
  return {
    ...problem,
    allowed: { form: `${allowedInWords(allowed)}; or ${orId}` },
    action: action.replace(/\.$/, `; or add ${orId}.`),
  };
}

function isNamed(json: object, part: Part): boolean {
  return valueOf(json, `${part}Id`) !== undefined || (part === 'block' && isBlockId(valueOf(json, 'block')));
}

function withParts(json: object, named: readonly Part[], stored: StoredParts): unknown {
  const gone = new Set(named.flatMap((part) => [part, `${part}Id`]));
  const kept = Object.entries(json).filter(([name]) => !gone.has(name));
  const written = named.flatMap((part) =>
    stored[part] === undefined ? [] : [[part, stored[part]] as const],
  );
  return Object.fromEntries([...kept, ...written]);
}

function namingProblems(json: object, part: Part, found: Json | undefined): Problem[] {
  const name = `${part}Id`;
  const id = valueOf(json, name);
  const itself = valueOf(json, part);
  if (id !== undefined && itself !== undefined) {
    const says = `stands beside ${part}, and only one of the two can be meant`;
    const fault = {
      code: 'CONFLICT',
      allowed: { form: 'one of the two' },
      says,
      action: 'Take one of them out.',
    };
    return [toProblem([name], id, { ...fault, code: 'CONFLICT' })];
  }
  if (found !== undefined) return [];
  const sent = id ?? itself;
  const allowed = { form: `the id of a stored ${part}` };
  return [
    toProblem([id === undefined ? part : name], sent, {
      code: 'NOT_FOUND',
      allowed,
      says: `is ${foundInWords(sent)}, and there is no such ${part}`,
      action: `Send ${allowed.form}, or the ${part} itself as "${part}".`,
    }),
  ];
}

function saidOfTheId(problem: Problem, json: object, named: readonly Part[], stored: StoredParts): Problem[] {
  const part = named.find(
    (name) => problem.pointer === `/${name}` || problem.pointer.startsWith(`/${name}/`),
  );
  if (part === undefined) return [problem];
  // It is missing only because the id was not found, which has been said.
  if (stored[part] === undefined) return [];
  const pointer = valueOf(json, `${part}Id`) === undefined ? `/${part}` : `/${part}Id`;
  return [{ ...problem, pointer }];
}

interface WithRecipes {
  /** The alterations with the shop's own recipes in their places; undefined where there are none. */
  readonly alterations?: readonly unknown[];
  readonly problems: readonly Problem[];
  /** Places in the list whose recipe was put in, or could not be. */
  readonly put: ReadonlySet<number>;
  readonly missing: ReadonlySet<number>;
}

function withRecipes(sent: unknown, stored: ReadonlyMap<string, StoredRecipe>): WithRecipes {
  const problems: Problem[] = [];
  const put = new Set<number>();
  const missing = new Set<number>();
  if (!Array.isArray(sent) || usesOfTheShop(sent).length === 0) return { problems, put, missing };
  const alterations = sent.map((alteration: unknown, index) => {
    const [use] = usesOfTheShop([alteration]);
    const found = use === undefined ? undefined : stored.get(use);
    if (use === undefined || found === undefined) return alteration;
    if ('recipe' in found) {
      put.add(index);
      return { ...(alteration as object), use: `${nameOf(use).name}@${found.version}`, recipe: found.recipe };
    }
    missing.add(index);
    problems.push(unusable(use, found, index));
    return alteration;
  });
  return { alterations, problems, put, missing };
}

function unusable(
  use: string,
  { not, newest }: Extract<StoredRecipe, { not: unknown }>,
  index: number,
): Problem {
  const { name } = nameOf(use);
  const says = {
    there: `is "${use}", and there is no such alteration`,
    published: `is "${use}", of which no version is in use: none is published yet, or every one is retired`,
    'in-use': `is "${use}", which is retired: drafts made with it can be made again, new ones cannot`,
  }[not];
  const near = not === 'there' ? nearestName(name, ALTERATION_NAMES) : undefined;
  const action =
    near !== undefined
      ? `Did you mean "${near}"?`
      : newest === undefined
        ? 'GET /v1/alterations lists those there are; publish your own before drafts use it.'
        : `Use "${name}" for its newest version, ${newest}.`;
  return toProblem(['alterations', index, 'use'], use, {
    code: not === 'there' ? 'NOT_FOUND' : 'NOT_AVAILABLE',
    allowed: { form: 'an alteration of the house, or a published one of yours' },
    says,
    action,
  });
}

/** What is wrong with a stored recipe is said of its name, since that is what was sent. */
function saidOfTheUse(problem: Problem, { put, missing }: WithRecipes): Problem[] {
  const [, place, field] = /^\/alterations\/(\d+)\/(use|recipe)(?:\/|$)/.exec(problem.pointer) ?? [];
  if (place === undefined) return [problem];
  if (missing.has(Number(place))) return [];
  if (field !== 'recipe' || !put.has(Number(place))) return [problem];
  return [{ ...problem, pointer: `/alterations/${place}/use` }];
}
