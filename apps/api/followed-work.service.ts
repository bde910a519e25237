import type { DraftFileAnswer } from '#contracts';
import type { ChangingId, DraftFile, Session, ShopId } from '#persistence';
import type { ByteRange, FileStore, OpenedFile } from '#storage';
import { notFound } from './api-error.js';
import type { Caller } from './caller.js';
import type { Feed, Followed } from './feed.js';
import { requireFileName } from './file-name.js';
import { FollowedService, type Kept } from './followed.service.js';
import type { Ground } from './ground.js';
import { openStored } from './open-stored.js';

/** Where one kind of work is kept with its files. */
interface KeptWork<WorkId extends ChangingId, Stored> extends Kept<WorkId, Stored> {
  /** Where it is asked for. */
  readonly path: string;
  readonly rows: Kept<WorkId, Stored>['rows'] & {
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
> extends FollowedService<WorkId, Stored, Answer> {
  protected constructor(
    ground: Ground,
    feed: Feed,
    private readonly kept: KeptWork<WorkId, Stored>,
  ) {
    super(ground, feed, kept);
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
}
