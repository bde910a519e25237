import type { AnswerPage, DeliveryAnswer } from '#contracts';
import {
  isId,
  type Delivery,
  type DeliveryAttempt,
  type DeliveryFilter,
  type DeliveryRepository,
  type OutboxRepository,
  type WebhookEndpointId,
} from '#persistence';
import { ApiError } from './api-error.js';
import type { Caller } from './caller.js';
import type { Ground } from './ground.js';
import type { Links } from './links.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { requireFound, requireId } from './require-id.js';
import { sayMessage } from './say-message.js';

export interface DeliveriesQuery extends PageQuery {
  readonly state?: Delivery['state'] | undefined;
  readonly endpointId?: string | undefined;
  readonly draftId?: string | undefined;
  readonly markerId?: string | undefined;
  readonly checkId?: string | undefined;
}

/** Shows webhooks on their way, and sends one again. */
export class DeliveriesService {
  constructor(
    private readonly ground: Ground,
    private readonly deliveries: DeliveryRepository,
    private readonly outbox: OutboxRepository,
    private readonly once: Once,
  ) {}

  page(caller: Caller, query: DeliveriesQuery): Promise<AnswerPage<DeliveryAnswer>> {
    const { state, endpointId, draftId, markerId, checkId } = query;
    const subjectId = draftId ?? markerId ?? checkId;
    const filter = {
      ...(state === undefined ? {} : { state }),
      ...(endpointId === undefined ? {} : { endpointId: endpointId as WebhookEndpointId }),
      ...(subjectId === undefined ? {} : { subjectId }),
    } satisfies DeliveryFilter;
    return mappedPage(
      query,
      (request) => this.deliveries.page(this.ground.database.session, caller.shopId, request, filter),
      (delivery) => toDeliveryAnswer(delivery, this.ground.links),
    );
  }

  /** With its attempts. Errors  not-found. */
  async find(caller: Caller, id: string): Promise<DeliveryAnswer> {
    const { session } = this.ground.database;
    const deliveryId = requireId('delivery', id);
    const delivery = requireFound('delivery', await this.deliveries.find(session, caller.shopId, deliveryId));
    const attempts = await this.deliveries.attempts(session, caller.shopId, deliveryId);
    return toDeliveryAnswer(delivery, this.ground.links, attempts);
  }

  /** Send it once more from the beginning. Errors  not-found, state-conflict (it is still on its way). */
  async redeliver(caller: Caller, id: string, key: string | undefined): Promise<OnceResult<DeliveryAnswer>> {
    const deliveryId = requireId('delivery', id);
    const { now, links } = this.ground;
    return this.once.run(caller, { key, action: 'deliveries.redeliver', input: id }, async (tx) => {
      const createdAt = new Date(now());
      const again = await this.deliveries.replay(tx, caller.shopId, deliveryId, createdAt);
      const delivery = requireFound('delivery', await this.deliveries.find(tx, caller.shopId, deliveryId));
      if (!again)
        throw new ApiError('state-conflict', 'The delivery is still on its way. Wait until it has ended.');
      const message = { topic: 'deliver-webhook', payload: { version: 1, deliveryId } } as const;
      await sayMessage(this.ground, this.outbox, tx, caller.shopId, message);
      return { answer: toDeliveryAnswer(delivery, links), subjectId: delivery.id };
    });
  }
}

function toDeliveryAnswer(
  delivery: Delivery,
  links: Links,
  attempts?: readonly DeliveryAttempt[],
): DeliveryAnswer {
  const { id, endpointId, webhookId, eventType, subjectId, state, attempt } = delivery;
  const { nextAttemptAt, createdAt, finishedAt } = delivery;
  return {
    id,
    endpointId,
    webhookId,
    eventType,
    ...(isId('draft', subjectId) ? { draftId: subjectId } : {}),
    ...(isId('marker', subjectId) ? { markerId: subjectId } : {}),
    ...(isId('check', subjectId) ? { checkId: subjectId } : {}),
    state,
    attempt,
    ...(nextAttemptAt === undefined ? {} : { nextAttemptAt: nextAttemptAt.toISOString() }),
    createdAt: createdAt.toISOString(),
    ...(finishedAt === undefined ? {} : { finishedAt: finishedAt.toISOString() }),
    ...(attempts === undefined ? {} : { attempts: attempts.map(toAttemptAnswer) }),
    links: { self: links.to('deliveries', id) },
  };
}

function toAttemptAnswer({
  startedAt,
  ...attempt
}: DeliveryAttempt): NonNullable<DeliveryAnswer['attempts']>[number] {
  return { ...attempt, startedAt: startedAt.toISOString() };
}
