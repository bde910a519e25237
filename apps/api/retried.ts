import { PersistenceError } from '#persistence';

const TRIES_MAX = 4;

/** Again when another transaction came in between: what it changed is there to be seen now. */
export async function retried<T>(work: () => Promise<T>): Promise<T> {
  for (let tries = 1; ; tries++) {
    try {
      return await work();
    } catch (error) {
      const again =
        error instanceof PersistenceError && ['CONFLICT', 'REFERENCE_MISSING'].includes(error.code);
      if (!again || tries === TRIES_MAX) throw error;
    }
  }
}
