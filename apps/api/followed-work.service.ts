import type { DraftFileAnswer } from '#contracts';
import type { ChangingId, DraftFile, IdKind, Session, ShopId } from '#persistence';
import type { ByteRange, FileStore, OpenedFile } from '#storage';
import { notFound } from './api-error.js';
import type { Caller } from './caller.js';
import type { Feed, Followed } from './feed.js';
import { requireFileName } from './file-name.js';
import type { Ground } from './ground.js';
import { openStored } from './open-stored.js';
import { requireFound } from './require-id.js';

/** Where one kind of work is kept: what it is called, where it is asked for, its rows. */
interface KeptWork<WorkId extends ChangingId, Stored> {
  readonly kind: IdKind;
  /** Errors  not-found. */
  readonly idOf: (text: string) => WorkId;
  readonly path: string;
  readonly rows: {
    find(session: Session, shopId: ShopId, id: WorkId): Promise<Stored | undefined>;
    files(session: Session, shopId: ShopId, id: WorkId): Promise<readonly DraftFile[]>;
    findFile(session: Session, shopId: ShopId, id: WorkId, name: string): Promise<DraftFile | undefined>;
  };
  readonly store: FileStore;
}

/** Work that a shop asks for, waits for or follows, and fetches the files of. */
export abstract class FollowedWorkService<
  WorkId extends ChangingId,
  Stored extends Followed & { readonly id: WorkId },
  Answer extends { readonly id: string },
> {
  protected constructor(
    protected readonly ground: Ground,
    private readonly feed: Feed,
    private readonly kept: KeptWork<WorkId, Stored>,
  ) {}

  /** As it stands, with its result once it has one. Errors  not-found. */
  abstract find(caller: Caller, id: string): Promise<Answer>;

  /** As lists and states on the way show it: without its result. */
  protected abstract toAnswer(stored: Stored): Answer;

  /** It as soon as it has ended, or as it stands after `waitMs`. */
  async waitFor(caller: Caller, answer: Answer, waitMs: number): Promise<Answer> {
    if (waitMs === 0) return answer;
    const id = this.kept.idOf(answer.id);
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

  /** Those that there are by now. Errors  not-found. */
  async files(caller: Caller, id: string): Promise<readonly DraftFileAnswer[]> {
    const { id: workId } = await this.stored(caller, id);
    const { path, rows } = this.kept;
    const files = await rows.files(this.ground.database.session, caller.shopId, workId);
    const { links } = this.ground;
    return files.map((file) => ({ ...file, href: links.to(path, workId, 'files', file.name) }));
  }

  /** Errors  not-found. */
  async file(caller: Caller, id: string, name: string): Promise<DraftFile> {
    const workId = this.kept.idOf(id);
    requireFileName(name);
    const { session } = this.ground.database;
    const file = await this.kept.rows.findFile(session, caller.shopId, workId, name);
    if (file === undefined) throw notFound('file');
    return file;
  }

  open(file: DraftFile, range: ByteRange | undefined): Promise<OpenedFile> {
    return openStored(this.kept.store, file, range);
  }

  /** Errors  not-found. */
  protected async stored(caller: Caller, id: string): Promise<Stored> {
    const { kind, idOf } = this.kept;
    return requireFound(kind, await this.look(caller, idOf(id))());
  }

  private look({ shopId }: Caller, id: WorkId): () => Promise<Stored | undefined> {
    return () => this.kept.rows.find(this.ground.database.session, shopId, id);
  }

  private async *answers(caller: Caller, states: AsyncGenerator<Stored, void>): AsyncGenerator<Answer, void> {
    for await (const stored of states) {
      // The last one with its result, so that nobody has to ask again for it.
      if (stored.finishedAt === undefined) yield this.toAnswer(stored);
      else yield await this.find(caller, stored.id);
    }
  }
}
