import { isNativeError } from 'node:util/types';

/** What was thrown, as an error. Also one made in another realm, which `instanceof` would not know. */
export function thrownError(thrown: unknown): Error {
  if (thrown instanceof Error || isNativeError(thrown)) return thrown;
  return new Error(`thrown: ${String(thrown)}`);
}
