import type { JobPayload } from '#contracts';
import type {
  AfterAttempt,
  Delivery,
  DeliveryAttempt,
  DeliveryId,
  ShopId,
  WebhookEndpoint,
} from '#persistence';
import type { JobContext, JobOutcome } from '#queue';
import { planNextAttempt, WebhookError, type DeliveryOutcome, type NextStep } from '#webhooks';
import { HOLD_LOST_MS, whileHeld } from './while-held.js';
import { OperationalError } from './worker-error.js';
import type { WorkerParts } from './worker-parts.js';

export type DeliverWebhookParts = Pick<
  WorkerParts,
  'database' | 'deliveries' | 'endpoints' | 'deliverer' | 'metrics' | 'logger' | 'now' | 'random'
>;

/**
 * One attempt at a delivery: take it, send it, record what came of it and when it is due again.
 *
 * A receiver that fails is no failure of the job. The next attempt is a time in the row, and whoever looks after the
 * rows enqueues it then; so waits of hours outlive every queue.
 */
export class DeliverWebhookProcessor {
  constructor(private readonly parts: DeliverWebhookParts) {}

  async run(payload: JobPayload<'deliver-webhook'>, context: JobContext): Promise<JobOutcome> {
    const { database, deliveries, endpoints, now } = this.parts;
    const shopId = payload.shopId as ShopId;
    const delivery = await deliveries.take(
      database.session,
      shopId,
      payload.deliveryId as DeliveryId,
      leaseFrom(now()),
    );
    if (delivery === undefined) return 'skipped';
    const endpoint = await endpoints.find(database.session, shopId, delivery.endpointId);
    const startedAt = now();
    if (endpoint?.enabled !== true) return this.withdraw(shopId, delivery, startedAt);
    const outcome = await this.send(shopId, delivery, endpoint, context);
    return this.record(shopId, delivery, startedAt, outcome);
  }

  private async send(
    shopId: ShopId,
    { id, attempt, webhookId, payload }: Delivery,
    endpoint: WebhookEndpoint,
    context: JobContext,
  ): Promise<DeliveryOutcome> {
    const { database, deliveries, deliverer, now } = this.parts;
    const keep = (): Promise<boolean> =>
      deliveries.extend(database.session, shopId, id, attempt, leaseFrom(now()).until);
    const outcome = await whileHeld({ keep, signal: context.signal }, ({ signal }) =>
      deliverer
        .deliver({
          url: endpoint.url,
          messageId: webhookId,
          body: JSON.stringify(payload),
          secrets: signingSecrets(endpoint, now()),
          signal,
        })
        .catch(refusedByUs),
    );
    if (context.signal.aborted && outcome.kind !== 'delivered') throw new OperationalError('WORKER_CLOSING');
    return outcome;
  }

  private async record(
    shopId: ShopId,
    delivery: Delivery,
    startedAt: Date,
    outcome: DeliveryOutcome,
  ): Promise<JobOutcome> {
    const { database, deliveries, endpoints, metrics, logger, now, random } = this.parts;
    const step = planNextAttempt(delivery.attempt, outcome, random);
    const made = attemptOf(delivery.attempt, startedAt, outcome);
    const isRecorded = await database.unitOfWork.run(async (tx) => {
      const next = afterAttempt(step, now());
      if (!(await deliveries.finishAttempt(tx, shopId, delivery.id, made, next))) return false;
      if (step.kind === 'disable-endpoint') {
        await endpoints.disable(tx, shopId, delivery.endpointId, GONE, now());
        await deliveries.cancelPending(tx, shopId, delivery.endpointId, now());
      }
      return true;
    });
    metrics.observeDelivery({ outcome: outcome.kind, durationMs: outcome.durationMs });
    const { attempt, endpointId } = delivery;
    const reason = made.error === undefined ? {} : { reason: made.error };
    const status = made.statusCode === undefined ? {} : { status: made.statusCode };
    logger.info(`delivery.${step.kind === 'none' ? 'made' : 'failed'}`, {
      shopId,
      deliveryId: delivery.id,
      endpointId,
      attempt,
      outcome: step.kind,
      ...reason,
      ...status,
    });
    return isRecorded ? 'done' : 'skipped';
  }

  private async withdraw(shopId: ShopId, delivery: Delivery, startedAt: Date): Promise<JobOutcome> {
    const { database, deliveries, now } = this.parts;
    const made = { attempt: delivery.attempt, startedAt, durationMs: 0, error: 'ENDPOINT_DISABLED' };
    await database.unitOfWork.run((tx) =>
      deliveries.finishAttempt(tx, shopId, delivery.id, made, { state: 'cancelled', finishedAt: now() }),
    );
    return 'skipped';
  }
}

const GONE = 'The receiver answered 410 Gone.';

function leaseFrom(now: Date): { readonly now: Date; readonly until: Date } {
  return { now, until: new Date(now.getTime() + HOLD_LOST_MS) };
}

function signingSecrets({ secrets }: WebhookEndpoint, now: Date): string[] {
  return secrets
    .filter(({ retiresAt }) => retiresAt === undefined || Date.parse(retiresAt) > now.getTime())
    .map(({ secret }) => secret);
}

/** A stored secret or id that the standard does not allow: recorded like an attempt, so that its owner sees it. */
function refusedByUs(error: unknown): DeliveryOutcome {
  if (!(error instanceof WebhookError)) throw error;
  return { kind: 'failed', reason: 'RECEIVER_REFUSED', durationMs: 0 };
}

function attemptOf(attempt: number, startedAt: Date, outcome: DeliveryOutcome): DeliveryAttempt {
  const durationMs = Math.round(outcome.durationMs);
  const statusCode = outcome.kind === 'failed' ? outcome.status : outcome.status;
  const error = outcome.kind === 'failed' ? outcome.reason : undefined;
  return {
    attempt,
    startedAt,
    durationMs,
    ...(statusCode === undefined ? {} : { statusCode }),
    ...(error === undefined ? {} : { error }),
  };
}

function afterAttempt(step: NextStep, now: Date): AfterAttempt {
  switch (step.kind) {
    case 'none':
      return { state: 'delivered', finishedAt: now };
    case 'retry':
      return { state: 'pending', nextAttemptAt: new Date(now.getTime() + step.afterMs) };
    case 'give-up':
    case 'disable-endpoint':
      return { state: 'failed', finishedAt: now };
  }
}
