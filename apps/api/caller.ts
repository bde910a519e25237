import type { IncomingMessage } from 'node:http';
import type { ApiKeyId, DraftId, DraftTokenId, ShopId } from '#persistence';
import { notFound } from './api-error.js';

/** Whose key a request carries. */
export interface Caller {
  readonly shopId: ShopId;
  /** Of a token, the key it was made with. */
  readonly apiKeyId: ApiKeyId;
  /** Present when it was a token that opens one draft's prints and nothing else. */
  readonly token?: { readonly id: DraftTokenId; readonly draftId: DraftId };
}

/** Errors  not-found when the caller's token is for another draft: for it that one is not there. */
export function requireOpen({ token }: Caller, draftId: DraftId, what: string): void {
  if (token !== undefined && token.draftId !== draftId) throw notFound(what);
}

const CALLERS = new WeakMap<IncomingMessage, Caller>();

export function setCaller(request: IncomingMessage, caller: Caller): void {
  CALLERS.set(request, caller);
}

/** The caller that `authenticate` found. A route that is reached without one is a bug. */
export function callerOf(request: IncomingMessage): Caller {
  const caller = CALLERS.get(request);
  if (caller === undefined) throw new Error('CALLER_MISSING');
  return caller;
}
