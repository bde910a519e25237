import { setTimeout as sleep } from 'node:timers/promises';

export interface LoopOptions {
  /** Longest wait between two rounds. */
  readonly everyMs: number;
  /** One round. "more" begins the next one at once. */
  readonly round: () => Promise<'more' | 'idle'>;
  readonly onError: (error: unknown) => void;
}

export interface Loop {
  /** Begin the next round now, or as soon as this one has ended. */
  wake(): void;
  /** Waits for the round under way. */
  close(): Promise<void>;
}

/** After a failed round: long enough not to hammer a server that is starting, short enough for nobody to notice. */
const AFTER_ERROR_MS = 1_000;

/** Do something again and again until it is closed; a failed round is told and followed by the next. */
export function startLoop({ everyMs, round, onError }: LoopOptions): Loop {
  const closing = new AbortController();
  let waking = new AbortController();
  const running = (async () => {
    while (!closing.signal.aborted) {
      waking = new AbortController();
      let waitMs = everyMs;
      try {
        if ((await round()) === 'more') continue;
      } catch (error) {
        onError(error);
        waitMs = AFTER_ERROR_MS;
      }
      const signal = AbortSignal.any([closing.signal, waking.signal]);
      await sleep(waitMs, undefined, { signal }).catch(() => undefined); // woken
    }
  })();
  return {
    wake: () => waking.abort(),
    close: async () => {
      closing.abort();
      await running;
    },
  };
}
