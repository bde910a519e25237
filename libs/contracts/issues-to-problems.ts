import type { z } from 'zod';
import { missing, wrongType, type Fault, type FieldNames } from './field.js';
import { nearestName } from '#spelling';
import { foundInWords, placeInWords, pointerOf, type Problem } from './problem.js';

type Issue = z.core.$ZodIssue;

/** Unknown fields of one object that are compared with the known: a slip is one or two, more are another thing. */
const HINTED_MAX = 5;

/** The issues of a failed parse as problems in our words, in zod's order, with what was found at each place. */
export function issuesToProblems(issues: readonly Issue[], json: unknown): Problem[] {
  return issues.flatMap((issue) => {
    if (issue.code === 'unrecognized_keys')
      return issue.keys.map((key, index) => unknownField(issue, { key, index }, json));
    const found = valueAt(json, issue.path);
    return [toProblem(issue.path, found, faultOf(issue, found))];
  });
}

export function toProblem(path: readonly PropertyKey[], found: unknown, fault: Fault): Problem {
  const { code, allowed, says, action } = fault;
  const message = `${placeInWords(path)} ${says}.`;
  return { pointer: pointerOf(path), code, found: foundInWords(found), allowed, message, action };
}

function faultOf(issue: Issue, found: unknown): Fault {
  if (issue.code === 'custom') return (issue.params as { fault: Fault }).fault;
  if (issue.code === 'invalid_type') {
    const isList = issue.expected === 'array' || issue.expected === 'record';
    const form = isList ? issue.message : objectInWords(namesOf(issue));
    return found === undefined ? missing({ form }) : wrongType(found, { form });
  }
  if (issue.code === 'too_big') {
    const form = `a list of at most ${issue.maximum}`;
    return {
      code: 'TOO_MANY',
      allowed: { form },
      says: `is ${foundInWords(found)}, above ${issue.maximum}`,
      action: `Send ${form}.`,
    };
  }
  if (issue.code === 'too_small') {
    const form = `a list of at least ${issue.minimum}`;
    return {
      code: 'TOO_FEW',
      allowed: { form },
      says: `is ${foundInWords(found)}, below ${issue.minimum}`,
      action: `Send ${form}.`,
    };
  }
  // Every schema of ours is made of the kinds above; another one is a schema nobody worded.
  throw new Error(`ISSUE_NOT_WORDED code=${issue.code}`);
}

function unknownField(
  issue: Extract<Issue, { code: 'unrecognized_keys' }>,
  { key, index }: { readonly key: string; readonly index: number },
  json: unknown,
): Problem {
  const { needed, optional } = namesOf(issue);
  const names = [...needed, ...optional];
  const path = [...issue.path, key];
  const near = index < HINTED_MAX ? nearestName(key, names) : undefined;
  return toProblem(path, valueAt(json, path), {
    code: 'UNKNOWN_FIELD',
    allowed: { oneOf: names },
    says: 'is not a field that is known here',
    action: near === undefined ? `Take it out; known are ${names.join(', ')}.` : `Did you mean "${near}"?`,
  });
}

function namesOf(issue: Issue): FieldNames {
  return JSON.parse(issue.message) as FieldNames;
}

function objectInWords({ needed, optional }: FieldNames): string {
  const [has, may] = [needed.join(', '), optional.join(', ')];
  if (has === '') return may === '' ? 'an empty object' : `an object with any of ${may}`;
  return may === '' ? `an object with ${has}` : `an object with ${has}; it may also have ${may}`;
}

function valueAt(json: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce(valueOf, json);
}

/** Own fields only: "__proto__" and "constructor" are names like any other. */
/** The text there; empty where something else is, which may be anything. */
export function textOf(json: unknown, name: PropertyKey): string {
  const value = valueOf(json, name);
  return typeof value === 'string' ? value : '';
}

export function valueOf(json: unknown, name: PropertyKey): unknown {
  const isThere = typeof json === 'object' && json !== null && Object.hasOwn(json, name);
  return isThere ? (json as Record<PropertyKey, unknown>)[name] : undefined;
}
