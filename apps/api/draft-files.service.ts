import { isHandedOn, type DraftFileAnswer } from '#contracts';
import type { DraftFile, DraftRepository } from '#persistence';
import type { ByteRange, FileStore, OpenedFile } from '#storage';
import { notFound } from './api-error.js';
import { requireOpen, type Caller } from './caller.js';
import { toFileAnswer } from './drafts.mapper.js';
import { requireFileName } from './file-name.js';
import type { Ground } from './ground.js';
import { openStored } from './open-stored.js';
import { requireFound, requireId } from './require-id.js';

/** Finds the files of drafts and opens them. */
export class DraftFilesService {
  constructor(
    private readonly ground: Ground,
    private readonly drafts: DraftRepository,
    private readonly store: FileStore,
  ) {}

  /** Empty until the draft is ready or needs attention. Errors  not-found. */
  async list(caller: Caller, id: string): Promise<readonly DraftFileAnswer[]> {
    const { session } = this.ground.database;
    const draftId = requireId('draft', id);
    requireOpen(caller, draftId, 'draft');
    requireFound('draft', await this.drafts.find(session, caller.shopId, draftId));
    const files = await this.drafts.files(session, caller.shopId, draftId);
    const shown = caller.token === undefined ? files : files.filter(({ name }) => isHandedOn(name));
    return shown.map((file) => toFileAnswer(draftId, file, this.ground.links));
  }

  /** Errors  not-found. */
  async find(caller: Caller, id: string, name: string): Promise<DraftFile> {
    const draftId = requireId('draft', id);
    requireOpen(caller, draftId, 'draft');
    requireFileName(name);
    if (caller.token !== undefined && !isHandedOn(name)) throw notFound('file');
    const file = await this.drafts.findFile(this.ground.database.session, caller.shopId, draftId, name);
    if (file === undefined) throw notFound('file');
    return file;
  }

  open(file: DraftFile, range: ByteRange | undefined): Promise<OpenedFile> {
    return openStored(this.store, file, range);
  }
}
