import {
  correctionsJson,
  draftRequestHash,
  draftRequestJson,
  readDraftRequestWith,
  type AnswerPage,
  type DraftAnswer,
  type DraftRequest,
  type MessagePayload,
} from '#contracts';
import {
  type BlockId,
  type BodyId,
  type DraftFilter,
  type DraftId,
  type DraftMoves,
  type DraftRepository,
  type JsonObject,
  type OutboxRepository,
  type StoredDraft,
  type Transaction,
} from '#persistence';
import { ApiError, invalid, notFound } from './api-error.js';
import type { Caller } from './caller.js';
import type { Feed } from './feed.js';
import { toDraftAnswer, toFindings } from './drafts.mapper.js';
import { FollowedService } from './followed.service.js';
import type { Ground } from './ground.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { requireId } from './require-id.js';
import { retried } from './retried.js';
import { sayMessage } from './say-message.js';
import { findParts, type PartRepositories } from './stored-parts.js';

export interface DraftRepositories extends PartRepositories {
  readonly drafts: DraftRepository;
  readonly moves: DraftMoves;
  readonly outbox: OutboxRepository;
}

export interface DraftsQuery extends PageQuery {
  readonly state?: StoredDraft['state'] | undefined;
  readonly reference?: string | undefined;
  readonly bodyId?: string | undefined;
}

interface Understood {
  readonly request: DraftRequest;
  readonly bodyId?: BodyId;
  readonly blockId?: BlockId;
}

/** Takes drafts in, shows them and cancels them. Never computes: a worker hears of a draft by its message. */
export class DraftsService extends FollowedService<DraftId, StoredDraft, DraftAnswer> {
  constructor(
    ground: Ground,
    private readonly repositories: DraftRepositories,
    private readonly once: Once,
    feed: Feed,
  ) {
    super(ground, feed, {
      kind: 'draft',
      idOf: (text) => requireId('draft', text),
      rows: repositories.drafts,
    });
  }

  /** The draft and its message are stored together or not at all. Errors  request-invalid and those of `Once`. */
  async create(caller: Caller, json: unknown, key: string | undefined): Promise<OnceResult<DraftAnswer>> {
    const asked = { key, action: 'drafts.create', input: json };
    // A body that is erased, or stored by somebody else, at the same moment is looked for again.
    const made = await retried(() =>
      this.once.run(caller, asked, async (tx) => {
        const draft = await this.accept(tx, caller, json);
        return { answer: this.toAnswer(draft), subjectId: draft.id };
      }),
    );
    if (!made.replayed) {
      this.ground.logger.info('draft.accepted', { shopId: caller.shopId, draftId: made.answer.id });
    }
    return made;
  }

  override async find(caller: Caller, id: string): Promise<DraftAnswer> {
    const draft = await this.stored(caller, id);
    const { session } = this.ground.database;
    const findings = toFindings(await this.repositories.drafts.findResult(session, caller.shopId, draft.id));
    return { ...this.toAnswer(draft), ...(findings === undefined ? {} : { findings }) };
  }

  async page(caller: Caller, query: DraftsQuery): Promise<AnswerPage<DraftAnswer>> {
    const { state, reference, bodyId } = query;
    const filter = {
      ...(state === undefined ? {} : { state }),
      ...(reference === undefined ? {} : { reference }),
      ...(bodyId === undefined ? {} : { bodyId: bodyId as BodyId }),
    } satisfies DraftFilter;
    return mappedPage(
      query,
      (request) =>
        this.repositories.drafts.page(this.ground.database.session, caller.shopId, request, filter),
      (draft) => this.toAnswer(draft),
    );
  }

  /** Cancelling twice is one cancellation. Errors  not-found, state-conflict (it has ended otherwise). */
  async cancel(caller: Caller, id: string): Promise<DraftAnswer> {
    const draftId = requireId('draft', id);
    const { database, now, logger } = this.ground;
    const moved = await database.unitOfWork.run(async (tx) => {
      const move = await this.repositories.moves.cancel(tx, caller.shopId, draftId, new Date(now()));
      if (move.moved) {
        await this.say(tx, caller, 'announce-draft', { version: 1, draftId, event: 'draft.cancelled' });
      }
      return move;
    });
    if (moved.moved) {
      logger.info('draft.cancelled', { shopId: caller.shopId, draftId });
      return this.toAnswer(moved.work);
    }
    if (moved.found === 'absent') throw notFound('draft');
    if (moved.found.state === 'cancelled') return this.find(caller, id);
    throw new ApiError('state-conflict', `The draft is ${moved.found.state} and can no longer be cancelled.`);
  }

  protected override toAnswer(draft: StoredDraft): DraftAnswer {
    return toDraftAnswer(draft, this.ground.links);
  }

  private async accept(tx: Transaction, caller: Caller, json: unknown): Promise<StoredDraft> {
    const { request, bodyId, blockId } = await this.understand(tx, caller, json);
    const { newId, now } = this.ground;
    const createdAt = new Date(now());
    const id = newId('draft');
    const draft = await this.repositories.drafts.insert(tx, caller.shopId, {
      id,
      apiKeyId: caller.apiKeyId,
      bodyId: bodyId ?? (await this.keepBody(tx, caller, request, createdAt)),
      ...(blockId === undefined ? {} : { blockId }),
      ...(request.reference === undefined ? {} : { reference: request.reference }),
      request: draftRequestJson(request) as JsonObject,
      requestHash: draftRequestHash(request),
      createdAt,
    });
    await this.say(tx, caller, 'produce-draft', { version: 1, draftId: id });
    return draft;
  }

  private async understand(tx: Transaction, { shopId }: Caller, json: unknown): Promise<Understood> {
    const { stored, body, block } = await findParts(this.repositories, tx, shopId, json);
    const read = readDraftRequestWith(json, stored);
    if (!read.ok) throw invalid('body', read.problems);
    return {
      request: read.request,
      ...(body === undefined ? {} : { bodyId: body.id }),
      ...(block === undefined ? {} : { blockId: block.blockId }),
    };
  }

  /**
   * A body sent with its draft is kept as one of the shop's, by its reference: only so can a person's erasure find
   * the draft, whose request and files repeat the measures. A body that is there already is linked and left as it
   * is; the draft is made from the measures that came with it, and changing the shop's record is not its business.
   */
  private keepBody(tx: Transaction, { shopId }: Caller, { body }: DraftRequest, at: Date): Promise<BodyId> {
    return this.repositories.bodies.insertIfNew(tx, shopId, {
      ...body,
      id: this.ground.newId('body'),
      measures: { ...body.measures },
      corrections: correctionsJson(body.corrections ?? []),
      createdAt: at,
      updatedAt: at,
    });
  }

  private say<Topic extends 'produce-draft' | 'announce-draft'>(
    tx: Transaction,
    { shopId }: Caller,
    topic: Topic,
    payload: MessagePayload<Topic>,
  ): Promise<void> {
    return sayMessage(this.ground, this.repositories.outbox, tx, shopId, { topic, payload });
  }
}
