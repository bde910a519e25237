import type { FieldProblem, Problem } from '#contracts';
import { allowedInWords } from '#contracts';

/** Every kind of problem the service answers with. `type` of an answer is `/problems/` and the kind. */
export const PROBLEM_KINDS = {
  'request-malformed': { status: 400, title: 'The request is not what its headers say' },
  'key-missing': { status: 401, title: 'No valid API key' },
  'not-found': { status: 404, title: 'There is no such thing' },
  'method-not-allowed': { status: 405, title: 'The method is not known here' },
  'state-conflict': { status: 409, title: 'Its state does not allow this' },
  'already-exists': { status: 409, title: 'There is one already' },
  'still-in-progress': { status: 409, title: 'The same request is being worked on' },
  'changed-meanwhile': { status: 412, title: 'It was changed meanwhile' },
  'request-too-large': { status: 413, title: 'The request is too large' },
  'media-type-unsupported': { status: 415, title: 'The media type is not read' },
  'range-unsatisfiable': { status: 416, title: 'The file has no such bytes' },
  'request-invalid': { status: 422, title: 'The request has bad fields' },
  'idempotency-key-reused': { status: 422, title: 'The key was used for another request' },
  'if-match-missing': { status: 428, title: 'The version to change must be named' },
  'too-many-requests': { status: 429, title: 'Too many requests' },
  'headers-too-large': { status: 431, title: 'The headers are too large' },
  'service-failed': { status: 500, title: 'The service failed' },
  'service-unavailable': { status: 503, title: 'The service cannot answer at the moment' },
} as const satisfies Record<string, { readonly status: number; readonly title: string }>;

export type ProblemKind = keyof typeof PROBLEM_KINDS;

export interface ApiErrorOptions {
  readonly errors?: readonly FieldProblem[];
  readonly headers?: Readonly<Record<string, string>>;
}

/** A refusal with its words. `detail` and `errors` may repeat what was sent: answered to the sender, never logged. */
export class ApiError extends Error {
  override readonly name = 'ApiError';
  readonly errors: readonly FieldProblem[] | undefined;
  readonly headers: Readonly<Record<string, string>>;

  constructor(
    readonly kind: ProblemKind,
    readonly detail: string,
    { errors, headers = {} }: ApiErrorOptions = {},
  ) {
    super(kind);
    this.errors = errors;
    this.headers = headers;
  }

  get code(): string {
    return this.kind.toUpperCase().replaceAll('-', '_');
  }
}

export function notFound(what: string): ApiError {
  return new ApiError('not-found', `There is no such ${what}, or it is not yours.`);
}

/** All that is wrong with what was sent. */
export function invalid(place: FieldProblem['in'], problems: readonly Problem[]): ApiError {
  const count = problems.length;
  const detail = count === 1 ? 'One field is wrong.' : `${count} fields are wrong; all of them are listed.`;
  return new ApiError('request-invalid', detail, {
    errors: problems.map((problem) => toFieldProblem(place, problem)),
  });
}

export function toFieldProblem(place: FieldProblem['in'], problem: Problem): FieldProblem {
  const { pointer, code, found, allowed, message, action, step, column } = problem;
  return {
    in: place,
    pointer,
    code,
    found,
    allowed: allowedInWords(allowed),
    detail: `${message} ${action}`,
    ...(step === undefined ? {} : { step }),
    ...(column === undefined ? {} : { column }),
  };
}
