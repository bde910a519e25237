import type { IncomingMessage, ServerResponse } from 'node:http';
import { ApiError } from './api-error.js';
import type { Route } from './describe.js';
import { routePattern } from './route-pattern.js';

type Next = (error?: unknown) => void;

/**
 * Middleware that tells a wrong method from a wrong address: 405 with what is allowed, as RFC 9110 15.5.6 has it.
 * Express would say 404 of both.
 */
export function allowMethods(routes: readonly Route[]) {
  const known = [...new Set(routes.map(({ path }) => path))].map((path) => ({
    pattern: routePattern(path),
    methods: methodsAt(routes, path),
  }));
  return (request: IncomingMessage, response: ServerResponse, next: Next): void => {
    const path = (request.url ?? '/').split('?')[0] ?? '/';
    const method = request.method ?? 'GET';
    const methods = [
      ...new Set(known.filter(({ pattern }) => pattern.test(path)).flatMap((route) => route.methods)),
    ];
    if (methods.length === 0) return next();
    const Allow = methods.join(', ');
    if (method === 'OPTIONS') {
      response.writeHead(204, { Allow }).end();
      return;
    }
    if (methods.includes(method)) return next();
    next(new ApiError('method-not-allowed', `Allowed here: ${Allow}.`, { headers: { Allow } }));
  };
}

function methodsAt(routes: readonly Route[], path: string): readonly string[] {
  const methods = routes.filter((route) => route.path === path).map(({ method }) => method.toUpperCase());
  return [...(methods.includes('GET') ? ['HEAD'] : []), ...methods, 'OPTIONS'];
}
