import { foundInWords, placeInWords, pointerOf, type Problem, type ProblemCode } from './problem.js';

/** A request nests eight deep (a coordinate of a given block); the rest is for what is still to come. */
const DEPTH_MAX = 12;

/** Both pieces with their 200 edges come to 7,000 values; 50,000 are read in a few milliseconds. */
const VALUES_MAX = 50_000;

const LIST_LENGTH_MAX = 1000;
const FIELDS_MAX = 100;
const TEXT_LENGTH_MAX = 1000;

interface Node {
  readonly value: unknown;
  readonly key: string | number;
  readonly parent: Node | undefined;
  readonly depth: number;
}

/**
 * What is too large about a JSON value, whatever it means.
 *
 * Looked at before any schema, so that a hostile value costs no more than reading it once.
 *
 * Cost       at most VALUES_MAX steps and as much memory; it does not recurse, and does not look inside a list,
 *            object or depth that is over its limit.
 */
export function limitProblems(json: unknown): Problem[] {
  const problems: Problem[] = [];
  const waiting: Node[] = [{ value: json, key: '', parent: undefined, depth: 0 }];
  let seen = 0;
  for (let node = waiting.pop(); node !== undefined; node = waiting.pop()) {
    seen += 1;
    if (seen > VALUES_MAX) {
      return [...problems, tooMuch('TOO_MANY', [], 'more values', `${VALUES_MAX} values in all`)];
    }
    const problem = tooLarge(node);
    if (problem === undefined) for (const child of childrenOf(node)) waiting.push(child);
    else problems.push(problem);
  }
  return problems;
}

function tooLarge(node: Node): Problem | undefined {
  const { value } = node;
  const over = (code: ProblemCode, allowed: string): Problem =>
    tooMuch(code, pathOf(node), foundInWords(value), allowed);
  if (typeof value === 'string' && value.length > TEXT_LENGTH_MAX)
    return tooMuch(
      'TEXT_TOO_LONG',
      pathOf(node),
      `${value.length} characters`,
      `${TEXT_LENGTH_MAX} characters`,
    );
  if (typeof value !== 'object' || value === null) return undefined;
  if (node.depth >= DEPTH_MAX) return over('TOO_DEEP', `values ${DEPTH_MAX} levels deep`);
  if (Array.isArray(value))
    return value.length > LIST_LENGTH_MAX ? over('TOO_MANY', `${LIST_LENGTH_MAX} in a list`) : undefined;
  const count = Object.keys(value).length;
  if (count <= FIELDS_MAX) return undefined;
  return tooMuch('TOO_MANY', pathOf(node), `${count} fields`, `${FIELDS_MAX} fields in an object`);
}

function tooMuch(
  code: ProblemCode,
  path: readonly (string | number)[],
  found: string,
  allowed: string,
): Problem {
  return {
    pointer: pointerOf(path),
    code,
    found,
    allowed: { form: `at most ${allowed}` },
    message: `${placeInWords(path)} has ${found}; at most ${allowed} are read.`,
    action: 'Send less; nothing else was looked at.',
  };
}

function childrenOf(parent: Node): Node[] {
  const { value, depth } = parent;
  if (typeof value !== 'object' || value === null) return [];
  // Backwards, because the last one in is the first one out: problems come in the order of the text.
  return Object.entries(value)
    .reverse()
    .map(([key, child]) => ({
      value: child as unknown,
      key: Array.isArray(value) ? Number(key) : key,
      parent,
      depth: depth + 1,
    }));
}

function pathOf(node: Node): (string | number)[] {
  const path: (string | number)[] = [];
  for (let step = node; step.parent !== undefined; step = step.parent) path.unshift(step.key);
  return path;
}
