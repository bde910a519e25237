import type { IncomingMessage, ServerResponse } from 'node:http';
import { withLogContext } from '#observability';
import type { ApiKeyRepository, Database } from '#persistence';
import { ApiError } from './api-error.js';
import { setCaller, type Caller } from './caller.js';
import type { RateLimit } from './rate-limit.js';

const SECRET = /^fkl_[A-Za-z0-9_-]{40,60}$/;
const SCHEME = /^bearer +/i;

/** The use of a key is written down at most this often; an exact time would cost a write for every request. */
const USE_RECORDED_EVERY_MS = 60_000;

/** Finds the shop of a request by its API key. */
export class Authenticator {
  constructor(
    private readonly database: Database,
    private readonly keys: ApiKeyRepository,
    private readonly limit: RateLimit,
    private readonly now: () => number,
  ) {}

  /** The caller whose key `authorization` holds. Errors  key-missing, too-many-requests. */
  async callerBy(authorization: string | undefined): Promise<Caller> {
    const secret = authorization?.replace(SCHEME, '') ?? '';
    const named = SCHEME.test(authorization ?? '') && SECRET.test(secret);
    const key = named ? await this.keys.findBySecret(this.database.session, secret) : undefined;
    if (key === undefined) {
      throw new ApiError('key-missing', 'Send your API key as "Authorization: Bearer fkl_...".', {
        headers: { 'WWW-Authenticate': 'Bearer realm="forkline"' },
      });
    }
    this.count({ shopId: key.shopId, apiKeyId: key.id });
    const now = this.now();
    if (now - (key.lastUsedAt?.getTime() ?? 0) > USE_RECORDED_EVERY_MS) {
      await this.keys.recordUse(this.database.session, key.shopId, key.id, new Date(now));
    }
    return { shopId: key.shopId, apiKeyId: key.id };
  }

  /** One request more of this caller's, on a connection that was let in before. Errors  too-many-requests. */
  count({ apiKeyId }: Caller): void {
    this.limit.take(apiKeyId);
  }
}

type Next = (error?: unknown) => void;

/** Middleware before everything that reads a body: who has no key makes no work. */
export function authenticate(authenticator: Authenticator) {
  return (request: IncomingMessage, _response: ServerResponse, next: Next): void => {
    authenticator.callerBy(request.headers.authorization).then((caller) => {
      setCaller(request, caller);
      withLogContext({ shopId: caller.shopId }, () => next());
    }, next);
  };
}
