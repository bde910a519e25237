import type { ChangingId, IdKind, Session, ShopId } from '#persistence';
import type { Caller } from './caller.js';
import type { Feed, Followed } from './feed.js';
import type { Ground } from './ground.js';
import { requireFound } from './require-id.js';

/** Where one kind of work is kept: what it is called, and its rows. */
export interface Kept<WorkId extends ChangingId, Stored> {
  readonly kind: IdKind;
  /** Errors  not-found. */
  readonly idOf: (text: string) => WorkId;
  readonly rows: {
    find(session: Session, shopId: ShopId, id: WorkId): Promise<Stored | undefined>;
  };
}

/** Work that a shop asks for, and waits for or follows. */
export abstract class FollowedService<
  WorkId extends ChangingId,
  Stored extends Followed & { readonly id: WorkId },
  Answer extends { readonly id: string },
> {
  protected constructor(
    protected readonly ground: Ground,
    private readonly feed: Feed,
    private readonly keptAt: Kept<WorkId, Stored>,
  ) {}

  /** As it stands, with its result once it has one. Errors  not-found. */
  abstract find(caller: Caller, id: string): Promise<Answer>;

  /** As lists and states on the way show it: without its result. */
  protected abstract toAnswer(stored: Stored): Answer;

  /** It as soon as it has ended, or as it stands after `waitMs`. */
  async waitFor(caller: Caller, answer: Answer, waitMs: number): Promise<Answer> {
    if (waitMs === 0) return answer;
    const id = this.keptAt.idOf(answer.id);
    await this.feed.end(id, this.look(caller, id), waitMs);
    return this.find(caller, id);
  }

  /** Its states after the one of `afterSequence`, as they come; undefined when there will be none. Errors  not-found. */
  async follow(
    caller: Caller,
    id: string,
    afterSequence: number,
    signal: AbortSignal,
  ): Promise<AsyncGenerator<Answer, void> | undefined> {
    const { id: workId, sequence, finishedAt } = await this.stored(caller, id);
    if (finishedAt !== undefined && sequence <= afterSequence) return undefined;
    const following = { id: workId, look: this.look(caller, workId), afterSequence, signal };
    return this.answers(caller, this.feed.follow(following));
  }

  /** Errors  not-found. */
  protected async stored(caller: Caller, id: string): Promise<Stored> {
    const { kind, idOf } = this.keptAt;
    return requireFound(kind, await this.look(caller, idOf(id))());
  }

  private look({ shopId }: Caller, id: WorkId): () => Promise<Stored | undefined> {
    return () => this.keptAt.rows.find(this.ground.database.session, shopId, id);
  }

  private async *answers(caller: Caller, states: AsyncGenerator<Stored, void>): AsyncGenerator<Answer, void> {
    for await (const stored of states) {
      // The last one with its result, so that nobody has to ask again for it.
      if (stored.finishedAt === undefined) yield this.toAnswer(stored);
      else yield await this.find(caller, stored.id);
    }
  }
}
