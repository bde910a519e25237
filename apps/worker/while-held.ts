import { setTimeout as sleep } from 'node:timers/promises';

/** How often a holder says that it is still there. Whoever is silent for a few of these is taken for dead. */
export const HOLD_INTERVAL_MS = 2_000;

/** Silent for so long: nobody is at it. Three intervals, so that one slow statement does not lose the hold. */
export const HOLD_LOST_MS = 3 * HOLD_INTERVAL_MS;

export interface HeldOptions {
  /** Says that we are at it; false when it is no longer ours. A throw leaves that open. */
  readonly keep: () => Promise<boolean>;
  readonly signal: AbortSignal;
}

/**
 * Work on something while saying so again and again. The signal that `work` gets is aborted with the caller's own, or
 * when what is held has gone to somebody else.
 */
export async function whileHeld<T>(
  { keep, signal }: HeldOptions,
  work: (hold: { readonly signal: AbortSignal; readonly lose: () => void }) => Promise<T>,
): Promise<T> {
  const lost = new AbortController();
  const done = new AbortController();
  const lose = (): void => lost.abort();
  const ended = AbortSignal.any([done.signal, lost.signal, signal]);
  const keeping = (async () => {
    while (!ended.aborted) {
      await sleep(HOLD_INTERVAL_MS, undefined, { signal: ended }).catch(() => undefined); // ended meanwhile
      if (!ended.aborted && !(await keep().catch(() => true))) lose();
    }
  })();
  try {
    return await work({ signal: AbortSignal.any([lost.signal, signal]), lose });
  } finally {
    done.abort();
    await keeping;
  }
}
