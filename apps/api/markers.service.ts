import {
  canonicalJson,
  markerOrderJson,
  readMarkerOrder,
  type AnswerPage,
  type MarkerAnswer,
  type MarkerOrder,
  type MessagePayload,
  type Problem,
} from '#contracts';
import type {
  DraftId,
  DraftRepository,
  JsonObject,
  MarkerFilter,
  MarkerId,
  MarkerMoves,
  MarkerRepository,
  OutboxRepository,
  ShopRepository,
  StoredMarker,
  Transaction,
} from '#persistence';
import type { FileStore } from '#storage';
import { ApiError, invalid, notFound } from './api-error.js';
import type { Caller } from './caller.js';
import type { Feed } from './feed.js';
import { FollowedWorkService } from './followed-work.service.js';
import type { Ground } from './ground.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import { toMarkerAnswer, toMarkerResult } from './markers.mapper.js';
import type { Once, OnceResult } from './once.js';
import { requireId } from './require-id.js';
import { retried } from './retried.js';
import { sayMessage } from './say-message.js';

export interface MarkerParts {
  readonly drafts: DraftRepository;
  readonly markers: MarkerRepository;
  readonly markerMoves: MarkerMoves;
  readonly shops: ShopRepository;
  readonly outbox: OutboxRepository;
  readonly store: FileStore;
  /** Longest search; a shop may be given less. */
  readonly secondsMax: number;
}

export interface MarkersQuery extends PageQuery {
  readonly state?: StoredMarker['state'] | undefined;
  readonly reference?: string | undefined;
}

/** A worker that is told to end does so within a fifth of a second, and then writes the files. */
const CANCEL_WAIT_MS = 5_000;

/** Takes markers in, shows them and cancels them. Never computes: a worker hears of a marker by its message. */
export class MarkersService extends FollowedWorkService<MarkerId, StoredMarker, MarkerAnswer> {
  constructor(
    ground: Ground,
    private readonly parts: MarkerParts,
    private readonly once: Once,
    feed: Feed,
  ) {
    super(ground, feed, {
      kind: 'marker',
      idOf: (text) => requireId('marker', text),
      path: 'markers',
      rows: parts.markers,
      store: parts.store,
    });
  }

  /** The marker and its message are stored together or not at all. Errors  request-invalid and those of `Once`. */
  async create(caller: Caller, json: unknown, key: string | undefined): Promise<OnceResult<MarkerAnswer>> {
    const asked = { key, action: 'markers.create', input: json };
    // A draft that is erased at the same moment is looked for again, and not found.
    const made = await retried(() =>
      this.once.run(caller, asked, async (tx) => {
        const marker = await this.accept(tx, caller, json);
        return { answer: toMarkerAnswer(marker, this.ground.links), subjectId: marker.id };
      }),
    );
    if (!made.replayed) {
      this.ground.logger.info('marker.accepted', { shopId: caller.shopId, markerId: made.answer.id });
    }
    return made;
  }

  async find(caller: Caller, id: string): Promise<MarkerAnswer> {
    const { session } = this.ground.database;
    const marker = await this.stored(caller, id);
    const result = await this.parts.markers.findResult(session, caller.shopId, marker.id);
    return { ...toMarkerAnswer(marker, this.ground.links), ...toMarkerResult(result) };
  }

  async page(caller: Caller, query: MarkersQuery): Promise<AnswerPage<MarkerAnswer>> {
    const { state, reference } = query;
    const filter = {
      ...(state === undefined ? {} : { state }),
      ...(reference === undefined ? {} : { reference }),
    } satisfies MarkerFilter;
    return mappedPage(
      query,
      (request) => this.parts.markers.page(this.ground.database.session, caller.shopId, request, filter),
      (marker) => toMarkerAnswer(marker, this.ground.links),
    );
  }

  /**
   * End the search: the best certified marker is kept, where work on it had begun.
   *
   * Errors  not-found, state-conflict (it has ended otherwise).
   */
  async cancel(caller: Caller, id: string): Promise<MarkerAnswer> {
    const markerId = requireId('marker', id);
    const { database, now, logger } = this.ground;
    const { markerMoves: moves } = this.parts;
    const asked = await database.unitOfWork.run(async (tx) => {
      const cancelled = await moves.cancel(tx, caller.shopId, markerId, new Date(now()));
      if (cancelled.moved) {
        await this.say(tx, caller, 'announce-marker', { version: 1, markerId, event: 'marker.cancelled' });
        return cancelled;
      }
      return moves.askToCancel(tx, caller.shopId, markerId, new Date(now()));
    });
    if (asked.moved) logger.info('marker.cancelling', { shopId: caller.shopId, markerId });
    else if (asked.found === 'absent') throw notFound('marker');
    const stands = await this.find(caller, id);
    if (stands.state === 'working') return this.waitFor(caller, stands, CANCEL_WAIT_MS);
    if (stands.state === 'cancelled') return stands;
    throw new ApiError('state-conflict', `The marker is ${stands.state} and can no longer be cancelled.`);
  }

  private async accept(tx: Transaction, caller: Caller, json: unknown): Promise<StoredMarker> {
    const { newId, now } = this.ground;
    const read = readMarkerOrder(json, await this.secondsMax(tx, caller));
    if (!read.ok) throw invalid('body', read.problems);
    const order = read.value;
    const problems = [
      ...(await this.draftProblems(tx, caller, order)),
      ...(await this.startProblems(tx, caller, order)),
    ];
    if (problems.length > 0) throw invalid('body', problems);
    const createdAt = new Date(now());
    const markerId = newId('marker');
    const marker = await this.parts.markers.insert(tx, caller.shopId, {
      id: markerId,
      apiKeyId: caller.apiKeyId,
      ...(order.reference === undefined ? {} : { reference: order.reference }),
      request: JSON.parse(canonicalJson(markerOrderJson(order))) as JsonObject,
      draftIds: [...new Set(order.drafts.map(({ draftId }) => draftId as DraftId))],
      createdAt,
    });
    await this.say(tx, caller, 'lay-marker', { version: 1, markerId });
    return marker;
  }

  private async secondsMax(tx: Transaction, { shopId }: Caller): Promise<number> {
    const shop = await this.parts.shops.find(tx, shopId);
    return Math.min(this.parts.secondsMax, shop?.markerSecondsMax ?? Infinity);
  }

  /** Only drafts that may be cut: each one that is not ready, or not there, is said of its own place. */
  private async draftProblems(tx: Transaction, caller: Caller, { drafts }: MarkerOrder): Promise<Problem[]> {
    const problems: Problem[] = [];
    for (const [i, { draftId }] of drafts.entries()) {
      const draft = await this.parts.drafts.find(tx, caller.shopId, draftId as DraftId);
      if (draft?.state === 'ready') continue;
      const state = draft === undefined ? 'not there' : draft.state;
      problems.push({
        pointer: `/drafts/${i}/draftId`,
        code: draft === undefined ? 'NOT_FOUND' : 'CONFLICT',
        found: JSON.stringify(draftId),
        allowed: { form: 'the id of a draft that is ready' },
        message: `drafts[${i}].draftId names a draft that is ${state}.`,
        action:
          draft === undefined
            ? 'Send the id of a draft of yours.'
            : 'Lay it once it is ready, or leave it out.',
      });
    }
    return problems;
  }

  /** Only a marker that has been laid can be begun from. */
  private async startProblems(
    tx: Transaction,
    { shopId }: Caller,
    { startFrom }: MarkerOrder,
  ): Promise<Problem[]> {
    if (startFrom === undefined) return [];
    const id = startFrom as MarkerId;
    if ((await this.parts.markers.findFile(tx, shopId, id, 'marker.json')) !== undefined) return [];
    const marker = await this.parts.markers.find(tx, shopId, id);
    return [
      {
        pointer: '/startFrom',
        code: marker === undefined ? 'NOT_FOUND' : 'CONFLICT',
        found: JSON.stringify(startFrom),
        allowed: { form: 'the id of a marker that has been laid' },
        message: `startFrom names a marker that is ${marker === undefined ? 'not there' : `${marker.state} and has no layout`}.`,
        action: 'Leave it out, or send the id of a marker of yours that has its files.',
      },
    ];
  }

  protected toAnswer(marker: StoredMarker): MarkerAnswer {
    return toMarkerAnswer(marker, this.ground.links);
  }

  private say<Topic extends 'lay-marker' | 'announce-marker'>(
    tx: Transaction,
    { shopId }: Caller,
    topic: Topic,
    payload: MessagePayload<Topic>,
  ): Promise<void> {
    return sayMessage(this.ground, this.parts.outbox, tx, shopId, { topic, payload });
  }
}
