import { GraphQLError, type GraphQLFormattedError } from 'graphql';
import type { Logger } from '#observability';
import { ApiError, type ProblemKind } from './api-error.js';
import { logFailure } from './problem-filter.js';
import { statusOf, toApiError } from './problem-answer.js';

/** Apollo's own words where there are some. */
const CODES: Partial<Record<ProblemKind, string>> = {
  'request-invalid': 'BAD_USER_INPUT',
  'key-missing': 'UNAUTHENTICATED',
  'service-failed': 'INTERNAL_SERVER_ERROR',
};

/**
 * An error as GraphQL answers it: what the caller can mend in the same words as at REST, of our own faults nothing.
 * Errors of the language itself (syntax, unknown fields, limits) pass with their place.
 */
export function graphqlError(
  formatted: GraphQLFormattedError,
  thrown: unknown,
  logger: Logger,
): GraphQLFormattedError {
  const original = thrown instanceof GraphQLError ? thrown.originalError : thrown;
  const { message, locations, path, extensions = {} } = formatted;
  const place = {
    ...(locations === undefined ? {} : { locations }),
    ...(path === undefined ? {} : { path }),
  };
  if (original === undefined || original === null || original instanceof GraphQLError) {
    const { code = 'GRAPHQL_VALIDATION_FAILED' } = extensions;
    return { message, ...place, extensions: { code } };
  }
  const error = toApiError(original);
  logFailure(logger, error, original);
  return { message: error.detail, ...place, extensions: extensionsOf(error) };
}

export function extensionsOf(error: ApiError): Record<string, unknown> {
  const { kind, code, errors } = error;
  return {
    code: CODES[kind] ?? code,
    status: statusOf(kind),
    type: `/problems/${kind}`,
    ...(errors === undefined ? {} : { problems: errors }),
  };
}
