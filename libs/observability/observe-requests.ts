import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Logger } from './logger.js';
import type { Metrics } from './metrics.js';
import { requestIdFrom, withLogContext } from './request-context.js';

export interface RequestObserverOptions {
  readonly logger: Logger;
  readonly metrics: Metrics;
  readonly newId: () => string;
}

/** What Express adds to a request once it has found its route. */
interface Routed extends IncomingMessage {
  readonly baseUrl?: string;
  readonly route?: { readonly path?: unknown };
}

/**
 * Middleware for Express: a request id on the answer and on every log line, one line and one observation a request.
 *
 * The path and the query are never logged, only the route's template: ids aside, a caller may put anything in them.
 */
export function observeRequests({ logger, metrics, newId }: RequestObserverOptions) {
  return (request: IncomingMessage, response: ServerResponse, next: () => void): void => {
    const requestId = requestIdFrom(request.headers['x-request-id'], newId);
    response.setHeader('X-Request-Id', requestId);
    const startedAt = performance.now();
    withLogContext({ requestId }, () => {
      // "close" comes after "finish", and alone when the caller hung up.
      response.once('close', () => {
        const durationMs = performance.now() - startedAt;
        const { method = 'UNKNOWN' } = request;
        const route = routeOf(request);
        const outcome = response.writableFinished ? 'answered' : 'aborted';
        const { statusCode: status } = response;
        metrics.observeHttp({ method, route, status, durationMs });
        logger.info('request.ended', { requestId, method, route, status, durationMs, outcome });
      });
      next();
    });
  };
}

function routeOf(request: Routed): string {
  const path = request.route?.path;
  return typeof path === 'string' ? `${request.baseUrl ?? ''}${path}` : 'unmatched';
}
