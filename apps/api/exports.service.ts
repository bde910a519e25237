import {
  exportRequestText,
  readExportRequest,
  type AnswerPage,
  type ExportAnswer,
  type ExportRequest,
} from '#contracts';
import type {
  DraftFile,
  DraftId,
  DraftRepository,
  ExportId,
  ExportRepository,
  JsonObject,
  OutboxRepository,
  StoredExport,
  Transaction,
} from '#persistence';
import type { ByteRange, FileStore, OpenedFile } from '#storage';
import { ApiError, invalid } from './api-error.js';
import { requireOpen, type Caller } from './caller.js';
import { toExportAnswer } from './drafts.mapper.js';
import type { Feed } from './feed.js';
import type { Ground } from './ground.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { openStored } from './open-stored.js';
import { requireFound, requireId } from './require-id.js';
import { retried } from './retried.js';
import { sayMessage } from './say-message.js';

export interface ExportParts {
  readonly drafts: DraftRepository;
  readonly exports: ExportRepository;
  readonly outbox: OutboxRepository;
  readonly store: FileStore;
}

/** Takes prints of finished drafts in and shows them. Never computes: a worker hears of an export by its message. */
export class ExportsService {
  constructor(
    private readonly ground: Ground,
    private readonly parts: ExportParts,
    private readonly once: Once,
    private readonly feed: Feed,
  ) {}

  /** Errors  not-found, state-conflict (the draft has no pieces yet, or never will), request-invalid. */
  async create(
    caller: Caller,
    id: string,
    json: unknown,
    key: string | undefined,
  ): Promise<OnceResult<ExportAnswer>> {
    const draftId = requireId('draft', id);
    requireOpen(caller, draftId, 'draft');
    const read = readExportRequest(json);
    if (!read.ok) {
      // Not of a draft that is not there: what its fields should be is nobody's business.
      await this.requireDraft(this.ground.database.session, caller, draftId);
      throw invalid('body', read.problems);
    }
    const asked = { key, action: 'exports.create', input: { draftId, request: json } };
    // A draft that is erased at the same moment is looked for again, and not found.
    const made = await retried(() =>
      this.once.run(caller, asked, async (tx) => {
        const stored = await this.accept(tx, caller, draftId, read.value);
        return { answer: toExportAnswer(stored, this.ground.links), subjectId: stored.id };
      }),
    );
    if (!made.replayed) {
      this.ground.logger.info('export.accepted', {
        shopId: caller.shopId,
        draftId,
        exportId: made.answer.id,
      });
    }
    return made;
  }

  /** The export as soon as it has ended, or as it stands after `waitMs`. */
  async waitFor(caller: Caller, answer: ExportAnswer, waitMs: number): Promise<ExportAnswer> {
    if (waitMs === 0 || answer.finishedAt !== undefined) return answer;
    const id = requireId('export', answer.id);
    await this.feed.end(id, this.look(caller, id), waitMs);
    return this.find(caller, id);
  }

  async page(caller: Caller, id: string, query: PageQuery): Promise<AnswerPage<ExportAnswer>> {
    const { session } = this.ground.database;
    const draftId = requireId('draft', id);
    await this.requireDraft(session, caller, draftId);
    return mappedPage(
      query,
      (request) => this.parts.exports.page(session, caller.shopId, draftId, request),
      (stored) => toExportAnswer(stored, this.ground.links),
    );
  }

  /** Errors  not-found. */
  async find(caller: Caller, id: string): Promise<ExportAnswer> {
    return toExportAnswer(await this.stored(caller, id), this.ground.links);
  }

  /** Errors  not-found, state-conflict (it is not ready). */
  async file(caller: Caller, id: string): Promise<DraftFile> {
    const { state, file } = await this.stored(caller, id);
    if (file !== undefined) return file;
    const says = state === 'failed' ? 'It failed and has no file.' : 'It is not ready yet. Ask again.';
    throw new ApiError('state-conflict', says);
  }

  open(file: DraftFile, range: ByteRange | undefined): Promise<OpenedFile> {
    return openStored(this.parts.store, file, range);
  }

  /** Its states after the one of `afterSequence`, as they come; undefined when there will be none. Errors  not-found. */
  async follow(
    caller: Caller,
    id: string,
    afterSequence: number,
    signal: AbortSignal,
  ): Promise<AsyncGenerator<ExportAnswer, void> | undefined> {
    const { id: exportId, sequence, finishedAt } = await this.stored(caller, id);
    if (finishedAt !== undefined && sequence <= afterSequence) return undefined;
    const following = { id: exportId, look: this.look(caller, exportId), afterSequence, signal };
    return this.answers(this.feed.follow(following));
  }

  private async accept(
    tx: Transaction,
    caller: Caller,
    draftId: DraftId,
    print: ExportRequest,
  ): Promise<StoredExport> {
    const { exports, outbox } = this.parts;
    const { newId, now } = this.ground;
    const draft = await this.requireDraft(tx, caller, draftId);
    if (draft.state !== 'ready' && draft.state !== 'needs_attention') {
      throw new ApiError(
        'state-conflict',
        `The draft is ${draft.state}; only a finished one can be printed.`,
      );
    }
    const requestText = exportRequestText(print);
    const same = await exports.findSame(tx, caller.shopId, draftId, requestText);
    if (same !== undefined) return same;
    const createdAt = new Date(now());
    const id = newId('export');
    const request = JSON.parse(requestText) as JsonObject;
    const stored = await exports.insert(tx, caller.shopId, { id, draftId, request, requestText, createdAt });
    const message = { topic: 'make-export', payload: { version: 1, exportId: id } } as const;
    await sayMessage(this.ground, outbox, tx, caller.shopId, message);
    return stored;
  }

  private async requireDraft(session: Parameters<DraftRepository['find']>[0], caller: Caller, id: DraftId) {
    requireOpen(caller, id, 'draft');
    return requireFound('draft', await this.parts.drafts.find(session, caller.shopId, id));
  }

  private async stored(caller: Caller, id: string): Promise<StoredExport> {
    const exportId = requireId('export', id);
    const { session } = this.ground.database;
    const stored = requireFound('export', await this.parts.exports.find(session, caller.shopId, exportId));
    requireOpen(caller, stored.draftId, 'export');
    return stored;
  }

  private look({ shopId }: Caller, id: ExportId): () => Promise<StoredExport | undefined> {
    return () => this.parts.exports.find(this.ground.database.session, shopId, id);
  }

  private async *answers(states: AsyncGenerator<StoredExport, void>): AsyncGenerator<ExportAnswer, void> {
    for await (const stored of states) yield toExportAnswer(stored, this.ground.links);
  }
}
