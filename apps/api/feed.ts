import { EventEmitter } from 'node:events';
import { watchChanges, type ChangeWatch, type ChangingId } from '#persistence';
import { ApiError } from './api-error.js';

/** Changes are told at once; the row is looked at this often all the same, since a hint may be lost. */
const LOOK_EVERY_MS = 3_000;

/** Each follower holds a connection and looks at a row every few seconds. */
const FOLLOWERS_MAX = 1_000;

const GAP = Symbol('gap');

/** What can be followed: it goes on until it has finished. */
export interface Followed {
  readonly sequence: number;
  readonly finishedAt?: Date;
}

export interface Following<Work extends Followed> {
  readonly id: ChangingId;
  /** The row as it stands; undefined once it is erased. */
  readonly look: () => Promise<Work | undefined>;
  /** States up to this one are known already. */
  readonly afterSequence: number;
  readonly signal: AbortSignal;
}

/** How work goes on, for everyone who waits for some: event streams, subscriptions, `Prefer: wait`. */
export class Feed {
  private readonly changes = new EventEmitter().setMaxListeners(0);
  private readonly closing = new AbortController();
  private readonly watch: ChangeWatch;
  private followers = 0;

  constructor(url: string) {
    this.watch = watchChanges({
      url,
      onChange: ({ id }) => this.changes.emit(id),
      onGap: () => this.changes.emit(GAP),
    });
  }

  /**
   * The work as it stands and then each time it has changed, until it has ended, is erased, or `signal` is raised.
   * Changes that follow each other quickly may come as one.
   */
  async *follow<Work extends Followed>({
    id,
    look,
    afterSequence,
    signal,
  }: Following<Work>): AsyncGenerator<Work, void> {
    if (this.followers >= FOLLOWERS_MAX) {
      throw new ApiError('service-unavailable', 'Too many wait here. Ask for it again instead.', {
        headers: { 'Retry-After': '5' },
      });
    }
    const until = AbortSignal.any([signal, this.closing.signal]);
    let seen = afterSequence;
    this.followers += 1;
    try {
      while (!until.aborted) {
        // Armed before the row is read, so that no change falls between reading and waiting.
        const changed = this.nextChange(id, until);
        const work = await look();
        if (work === undefined) return;
        if (work.sequence > seen) yield work;
        if (work.finishedAt !== undefined) return;
        seen = Math.max(seen, work.sequence);
        await changed;
      }
    } finally {
      this.followers -= 1;
    }
  }

  /** Wait until it has ended, at most `waitMs`. */
  async end<Work extends Followed>(
    id: ChangingId,
    look: () => Promise<Work | undefined>,
    waitMs: number,
  ): Promise<void> {
    const signal = AbortSignal.timeout(waitMs);
    for await (const { finishedAt } of this.follow({ id, look, afterSequence: 0, signal })) {
      if (finishedAt !== undefined) break;
    }
  }

  async close(): Promise<void> {
    this.closing.abort();
    await this.watch.close();
  }

  private nextChange(id: ChangingId, until: AbortSignal): Promise<void> {
    return new Promise((resolve) => {
      const done = (): void => {
        clearTimeout(timer);
        this.changes.off(id, done);
        this.changes.off(GAP, done);
        until.removeEventListener('abort', done);
        resolve();
      };
      const timer = setTimeout(done, LOOK_EVERY_MS);
      this.changes.once(id, done);
      this.changes.once(GAP, done);
      until.addEventListener('abort', done, { once: true });
      if (until.aborted) done();
    });
  }
}
