import type { IncomingMessage } from 'node:http';
import type { ApiKeyId, ShopId } from '#persistence';

/** Whose key a request carries. */
export interface Caller {
  readonly shopId: ShopId;
  readonly apiKeyId: ApiKeyId;
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
