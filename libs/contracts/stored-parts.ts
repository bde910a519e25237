import { readDraftRequest, type DraftRequestRead } from './draft-request.js';
import { toProblem, valueOf } from './issues-to-problems.js';
import type { Json } from './canonical-json.js';
import { allowedInWords, atMost, foundInWords, type Problem } from './problem.js';

/** The ids a request names in place of a body or a block. */
export interface NamedParts {
  readonly bodyId?: string;
  readonly blockId?: string;
}

/** What is stored under them, as JSON of the contract; undefined where nothing is. */
export interface StoredParts {
  readonly body?: Json | undefined;
  readonly block?: Json | undefined;
}

/** A block may be named in its own place too: `"block": "blk_..."`. */
export function namedParts(json: unknown): NamedParts {
  const bodyId = valueOf(json, 'bodyId');
  const block = valueOf(json, 'block');
  const blockId = valueOf(json, 'blockId') ?? (isBlockId(block) ? block : undefined);
  return {
    ...(typeof bodyId === 'string' ? { bodyId } : {}),
    ...(typeof blockId === 'string' ? { blockId } : {}),
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
  const problems = named.flatMap((part) => namingProblems(json, part, stored[part]));
  const read = readDraftRequest(withParts(json, named, stored));
  if (read.ok) return problems.length === 0 ? read : { ok: false, problems };
  const others = read.problems
    .flatMap((problem) => saidOfTheId(problem, json, named, stored))
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
