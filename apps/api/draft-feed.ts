import { EventEmitter } from 'node:events';
import {
  watchDrafts,
  type Database,
  type DraftId,
  type DraftRepository,
  type DraftWatch,
  type ShopId,
  type StoredDraft,
} from '#persistence';
import { ApiError } from './api-error.js';

/** Changes are told at once; the row is looked at this often all the same, since a hint may be lost. */
const LOOK_EVERY_MS = 3_000;

/** Each follower holds a connection and looks at a row every few seconds. */
const FOLLOWERS_MAX = 1_000;

const GAP = Symbol('gap');

export interface Following {
  readonly shopId: ShopId;
  readonly id: DraftId;
  /** States up to this one are known already. */
  readonly afterSequence: number;
  readonly signal: AbortSignal;
}

/** How drafts go on, for everyone who waits for one: event streams, subscriptions, `Prefer: wait`. */
export class DraftFeed {
  private readonly changes = new EventEmitter().setMaxListeners(0);
  private readonly closing = new AbortController();
  private readonly watch: DraftWatch;
  private followers = 0;

  constructor(
    url: string,
    private readonly database: Database,
    private readonly drafts: DraftRepository,
  ) {
    this.watch = watchDrafts({
      url,
      onChange: ({ draftId }) => this.changes.emit(draftId),
      onGap: () => this.changes.emit(GAP),
    });
  }

  /**
   * The draft as it stands and then each time it has changed, until it has ended, is erased, or `signal` is raised.
   * Changes that follow each other quickly may come as one.
   */
  async *follow({ shopId, id, afterSequence, signal }: Following): AsyncGenerator<StoredDraft, void> {
    if (this.followers >= FOLLOWERS_MAX) {
      throw new ApiError('service-unavailable', 'Too many wait for drafts. Ask for the draft instead.', {
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
        const draft = await this.drafts.find(this.database.session, shopId, id);
        if (draft === undefined) return;
        if (draft.sequence > seen) yield draft;
        if (draft.finishedAt !== undefined) return;
        seen = Math.max(seen, draft.sequence);
        await changed;
      }
    } finally {
      this.followers -= 1;
    }
  }

  async close(): Promise<void> {
    this.closing.abort();
    await this.watch.close();
  }

  private nextChange(id: DraftId, until: AbortSignal): Promise<void> {
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
