import type { ServerResponse } from 'node:http';
import { Catch, type ArgumentsHost, type ExceptionFilter } from '@nestjs/common';
import { logContext, type Logger } from '#observability';
import type { ApiError } from './api-error.js';
import { problemAnswer, statusOf, toApiError } from './problem-answer.js';

/** Everything that is thrown on the way to an answer becomes one problem of RFC 9457; nothing else does. */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  constructor(private readonly logger: Logger) {}

  catch(thrown: unknown, host: ArgumentsHost): void {
    // A resolver's errors are worded where GraphQL's are (graphql-errors.ts).
    if (host.getType<string>() === 'graphql') throw thrown;
    const error = toApiError(thrown);
    logFailure(this.logger, error, thrown);
    sendProblem(host.switchToHttp().getResponse<ServerResponse>(), error);
  }
}

export function logFailure(logger: Logger, error: ApiError, thrown: unknown): void {
  if (statusOf(error.kind) >= 500) logger.error('request.failed', { code: error.code }, thrown);
}

export function sendProblem(response: ServerResponse, error: ApiError): void {
  // A file or an event stream that broke half-way: what was promised cannot be kept, so the connection ends.
  if (response.headersSent) {
    response.destroy();
    return;
  }
  const text = JSON.stringify(problemAnswer(error, logContext().requestId));
  for (const name of ['ETag', 'Content-Range', 'Content-Disposition']) response.removeHeader(name);
  for (const [name, value] of Object.entries(error.headers)) response.setHeader(name, value);
  response.setHeader('Content-Type', 'application/problem+json; charset=utf-8');
  response.setHeader('Cache-Control', 'no-store');
  response.setHeader('Content-Length', Buffer.byteLength(text));
  response.statusCode = statusOf(error.kind);
  response.end(response.req.method === 'HEAD' ? undefined : text);
}
