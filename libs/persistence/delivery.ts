import type { Delivery as DeliveryRow, DeliveryAttempt as AttemptRow } from './generated/client.js';
import type { DeliveryId, WebhookEndpointId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';

export type DeliveryState = 'pending' | 'delivered' | 'failed' | 'cancelled';

/** One event on its way to one endpoint. */
export interface Delivery {
  readonly id: DeliveryId;
  readonly endpointId: WebhookEndpointId;
  /** The receiver's key against repeats: the same on every attempt. */
  readonly webhookId: string;
  readonly eventType: string;
  /** The id of what the event is about. */
  readonly subjectId: string;
  /** The body to be sent, thin: ids, state and links. */
  readonly payload: JsonObject;
  readonly state: DeliveryState;
  /** How often sending was begun. Whoever sends holds this number; an older one has lost it. */
  readonly attempt: number;
  /** When it is due; while it is being sent, when its sender is taken for dead. Only while pending. */
  readonly nextAttemptAt?: Date;
  readonly createdAt: Date;
  readonly finishedAt?: Date;
}

export type NewDelivery = Pick<
  Delivery,
  'id' | 'endpointId' | 'webhookId' | 'eventType' | 'subjectId' | 'payload' | 'createdAt'
>;

/** What one attempt came to. Of the answer only its status is kept: the rest is the receiver's own. */
export interface DeliveryAttempt {
  readonly attempt: number;
  readonly startedAt: Date;
  readonly durationMs: number;
  readonly statusCode?: number;
  /** A code of ours (TIMEOUT, ADDRESS_REFUSED ...) when there was no answer. */
  readonly error?: string;
}

/** What follows from an attempt. */
export type AfterAttempt =
  | { readonly state: 'delivered' | 'failed' | 'cancelled'; readonly finishedAt: Date }
  | { readonly state: 'pending'; readonly nextAttemptAt: Date };

export function toDelivery(row: DeliveryRow): Delivery {
  return {
    id: row.id as DeliveryId,
    endpointId: row.endpointId as WebhookEndpointId,
    webhookId: row.webhookId,
    eventType: row.eventType,
    subjectId: row.subjectId,
    payload: fromColumn(row.payload),
    state: row.state as DeliveryState,
    attempt: row.attempt,
    createdAt: row.createdAt,
    ...(row.nextAttemptAt === null ? {} : { nextAttemptAt: row.nextAttemptAt }),
    ...(row.finishedAt === null ? {} : { finishedAt: row.finishedAt }),
  };
}

export function toAttempt({
  attempt,
  startedAt,
  durationMs,
  statusCode,
  error,
}: AttemptRow): DeliveryAttempt {
  return {
    attempt,
    startedAt,
    durationMs,
    ...(statusCode === null ? {} : { statusCode }),
    ...(error === null ? {} : { error }),
  };
}
