import type { IncomingMessage, ServerResponse } from 'node:http';
import { withLogContext } from '#observability';
import type { ApiKeyRepository, Database, DraftTokenRepository } from '#persistence';
import { ApiError } from './api-error.js';
import { setCaller, type Caller } from './caller.js';
import type { Route } from './describe.js';
import type { RateLimit } from './rate-limit.js';
import { routePattern } from './route-pattern.js';

const KEY = /^fkl_[A-Za-z0-9_-]{40,60}$/;
const TOKEN = /^fkt_[A-Za-z0-9_-]{40,60}$/;
const SCHEME = /^bearer +/i;

/** The use of a key is written down at most this often; an exact time would cost a write for every request. */
const USE_RECORDED_EVERY_MS = 60_000;

/** Finds the shop of a request by its API key, or by a token that the shop has handed on. */
export class Authenticator {
  constructor(
    private readonly database: Database,
    private readonly repositories: { readonly keys: ApiKeyRepository; readonly tokens: DraftTokenRepository },
    private readonly limit: RateLimit,
    private readonly now: () => number,
  ) {}

  /** The caller whose key `authorization` holds. Errors  key-missing, too-many-requests. */
  async callerBy(authorization: string | undefined): Promise<Caller> {
    const { keys } = this.repositories;
    const secret = secretIn(authorization, KEY);
    const key = secret === undefined ? undefined : await keys.findBySecret(this.database.session, secret);
    if (key === undefined) throw noKey('Send your API key as "Authorization: Bearer fkl_...".');
    const caller = { shopId: key.shopId, apiKeyId: key.id };
    this.count(caller);
    const now = this.now();
    if (now - (key.lastUsedAt?.getTime() ?? 0) > USE_RECORDED_EVERY_MS) {
      await keys.recordUse(this.database.session, key.shopId, key.id, new Date(now));
    }
    return caller;
  }

  /** The same, where a token may stand in place of the key. */
  async callerByKeyOrToken(authorization: string | undefined): Promise<Caller> {
    const secret = secretIn(authorization, TOKEN);
    if (secret === undefined) return this.callerBy(authorization);
    const now = new Date(this.now());
    const found = await this.repositories.tokens.findBySecret(this.database.session, secret, now);
    if (found === undefined) throw noKey('The token is over or was revoked. Ask the shop for another.');
    const { shopId, apiKeyId, id, draftId } = found;
    const caller = { shopId, apiKeyId, token: { id, draftId } };
    this.count(caller);
    return caller;
  }

  /** One request more of this caller's, on a connection that was let in before. Errors  too-many-requests. */
  count({ apiKeyId, token }: Caller): void {
    this.limit.take(token?.id ?? apiKeyId);
  }
}

function secretIn(authorization = '', form: RegExp): string | undefined {
  const secret = authorization.replace(SCHEME, '');
  return SCHEME.test(authorization) && form.test(secret) ? secret : undefined;
}

function noKey(detail: string): ApiError {
  return new ApiError('key-missing', detail, {
    headers: { 'WWW-Authenticate': 'Bearer realm="forkline"' },
  });
}

type Next = (error?: unknown) => void;
type Mounted = IncomingMessage & { readonly originalUrl?: string };

/**
 * Middleware before everything that reads a body: who has no key makes no work. A token is a key on the routes that
 * say so and nowhere else; what it opens there is for their services to say.
 */
export function authenticate(authenticator: Authenticator, routes: readonly Route[]) {
  const open = routes
    .filter(({ operation }) => operation?.access === 'draft-token')
    .map(({ method, path }) => ({ method: method.toUpperCase(), pattern: routePattern(path) }));
  const isOpen = ({ method = 'GET', originalUrl = '/' }: Mounted): boolean => {
    const path = originalUrl.split('?')[0] ?? '/';
    const asked = method === 'HEAD' ? 'GET' : method;
    return open.some((route) => route.method === asked && route.pattern.test(path));
  };
  return (request: IncomingMessage, _response: ServerResponse, next: Next): void => {
    const { authorization } = request.headers;
    const found = isOpen(request)
      ? authenticator.callerByKeyOrToken(authorization)
      : authenticator.callerBy(authorization);
    found.then((caller) => {
      setCaller(request, caller);
      withLogContext({ shopId: caller.shopId }, () => next());
    }, next);
  };
}
