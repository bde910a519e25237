import type { JobPayload } from '#contracts';
import type { DraftId, JsonObject, ShopId, StoredDraft, Transaction, WebhookEndpoint } from '#persistence';
import type { JobOutcome } from '#queue';
import { webhookBody, type EndState } from '#webhooks';
import type { WorkerParts } from './worker-parts.js';

export type AnnounceDraftParts = Pick<
  WorkerParts,
  'database' | 'drafts' | 'endpoints' | 'deliveries' | 'outbox' | 'newId' | 'now'
>;

/** One delivery for each endpoint that listens, and the message that it is due: all of them or none. */
export class AnnounceDraftProcessor {
  constructor(
    private readonly parts: AnnounceDraftParts,
    /** Address of the API as callers see it, without a slash at the end. */
    private readonly publicUrl: string,
  ) {}

  async run({ shopId, draftId, event }: JobPayload<'announce-draft'>): Promise<JobOutcome> {
    const { database, drafts, endpoints } = this.parts;
    const shop = shopId as ShopId;
    const draft = await drafts.find(database.session, shop, draftId as DraftId);
    if (draft === undefined || `draft.${draft.state}` !== event) return 'skipped';
    const payload = this.payloadOf(draft);
    return database.unitOfWork.run(async (tx) => {
      const listening = await endpoints.listeningTo(tx, shop, event);
      for (const endpoint of listening) await this.deliver(tx, shop, endpoint, draft, payload);
      return listening.length === 0 ? 'skipped' : 'done';
    });
  }

  private async deliver(
    tx: Transaction,
    shopId: ShopId,
    { id: endpointId }: WebhookEndpoint,
    draft: StoredDraft,
    payload: JsonObject,
  ): Promise<void> {
    const { deliveries, outbox, newId, now } = this.parts;
    const id = newId('delivery');
    const isNew = await deliveries.insert(tx, shopId, {
      id,
      endpointId,
      webhookId: webhookIdOf(draft),
      eventType: `draft.${draft.state}`,
      subjectId: draft.id,
      payload,
      createdAt: now(),
    });
    if (!isNew) return;
    await outbox.insert(tx, shopId, {
      id: newId('outboxMessage'),
      topic: 'deliver-webhook',
      payload: { version: 1, deliveryId: id },
      createdAt: now(),
    });
  }

  private payloadOf(draft: StoredDraft): JsonObject {
    const self = `${this.publicUrl}/v1/drafts/${draft.id}`;
    const body = webhookBody({
      subject: 'draft',
      id: draft.id,
      state: draft.state as EndState,
      at: draft.finishedAt ?? draft.updatedAt,
      reference: draft.reference,
      sequence: draft.sequence,
      findingCounts: draft.findingCounts,
      links: { self, files: `${self}/files` },
    });
    return JSON.parse(body) as JsonObject;
  }
}

/** A draft ends once, so its end has one id, on every attempt and after any restart: the receiver's key to repeats. */
function webhookIdOf({ id }: StoredDraft): string {
  return `evt_${id.slice(id.indexOf('_') + 1)}`;
}
