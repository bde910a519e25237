import { setTimeout as wait } from 'node:timers/promises';
import { QueueError } from './queue-error.js';
import { thrownError } from './thrown-error.js';

/**
 * The promise, or QUEUE_UNAVAILABLE after a while: the clients below wait for a lost connection for ever.
 *
 * The call itself may still go through later, which ids make harmless.
 */
export async function withinMs<T>(promise: Promise<T>, timeoutMs: number): Promise<T> {
  const timer = new AbortController();
  const late = wait(timeoutMs, undefined, { signal: timer.signal }).then(() => {
    throw new QueueError('QUEUE_UNAVAILABLE', { timeoutMs });
  });
  try {
    return await Promise.race([promise, late]);
  } catch (error) {
    if (isConnectionTrouble(error)) throw new QueueError('QUEUE_UNAVAILABLE', {}, { cause: error });
    throw error;
  } finally {
    timer.abort();
    late.catch(() => undefined);
    promise.catch(() => undefined);
  }
}

/** Node's network errors, and Postgres' class 57P: shut down, crashed, starting up. */
function isConnectionTrouble(thrown: unknown): boolean {
  const error = thrownError(thrown);
  const code = 'code' in error ? String(error.code) : '';
  if (/^(ECONN|EPIPE|ENOTFOUND|ENOENT|EHOST|ENET|ETIMEDOUT|57P)/.test(code)) return true;
  return /Connection terminated|Connection is closed/.test(error.message);
}
