import { HttpException } from '@nestjs/common';
import type { FieldProblem, ProblemAnswer } from '#contracts';
import { PersistenceError } from '#persistence';
import { StorageError } from '#storage';
import { ApiError, PROBLEM_KINDS, type ProblemKind } from './api-error.js';

const UNAVAILABLE = 'Nothing was changed. Send the same again in a few seconds.';

/** Whatever was thrown, as a refusal with words for the caller. What is not known says nothing of itself. */
export function toApiError(thrown: unknown): ApiError {
  if (thrown instanceof ApiError) return thrown;
  if (thrown instanceof PersistenceError) return ofPersistence(thrown);
  if (thrown instanceof StorageError && thrown.retryable) return unavailable();
  if (thrown instanceof HttpException) return ofStatus(thrown.getStatus());
  // Express refuses a path that is not valid percent-encoding with a URIError of status 400.
  const { status } = thrown as { status?: unknown };
  if (thrown instanceof URIError || status === 400) return ofStatus(400);
  return new ApiError('service-failed', 'This is our fault. Tell us the request id.');
}

function ofPersistence({ code, retryable }: PersistenceError): ApiError {
  if (code === 'CURSOR_INVALID') {
    const field: FieldProblem = {
      in: 'query',
      pointer: '/cursor',
      code: 'NOT_ALLOWED',
      found: 'something else',
      allowed: 'the value of "next" of the page before',
      detail: 'The cursor was not made by this service. Leave it out to begin with the first page.',
    };
    return new ApiError('request-invalid', 'One field is wrong.', { errors: [field] });
  }
  return retryable
    ? unavailable()
    : new ApiError('service-failed', 'This is our fault. Tell us the request id.');
}

function unavailable(): ApiError {
  return new ApiError('service-unavailable', UNAVAILABLE, { headers: { 'Retry-After': '2' } });
}

function ofStatus(status: number): ApiError {
  if (status === 404) return new ApiError('not-found', 'There is nothing at this address.');
  if (status >= 400 && status < 500) return new ApiError('request-malformed', 'The request cannot be read.');
  return new ApiError('service-failed', 'This is our fault. Tell us the request id.');
}

export function problemAnswer(error: ApiError, requestId: string | undefined): ProblemAnswer {
  const { status, title } = PROBLEM_KINDS[error.kind];
  return {
    type: `/problems/${error.kind}`,
    title,
    status,
    code: error.code,
    detail: error.detail,
    ...(requestId === undefined ? {} : { requestId }),
    ...(error.errors === undefined ? {} : { errors: [...error.errors] }),
  };
}

export function statusOf(kind: ProblemKind): number {
  return PROBLEM_KINDS[kind].status;
}
