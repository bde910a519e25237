import type {
  CheckId,
  DraftId,
  FindingCounts,
  JsonObject,
  MarkerId,
  ShopId,
  Transaction,
  WebhookEndpoint,
} from '#persistence';
import type { JobOutcome } from '#queue';
import { webhookBody, type EndState } from '#webhooks';
import type { Subject } from './announce-later.js';
import type { WorkerParts } from './worker-parts.js';

export type AnnounceParts = Pick<
  WorkerParts,
  'database' | 'drafts' | 'markers' | 'checks' | 'endpoints' | 'deliveries' | 'outbox' | 'newId' | 'now'
>;

/** What has ended, as far as a webhook tells of it. */
interface Ended {
  readonly id: string;
  readonly state: string;
  readonly sequence: number;
  readonly reference?: string;
  readonly styleId?: string;
  readonly versionId?: string;
  readonly findingCounts: FindingCounts;
  readonly updatedAt: Date;
  readonly finishedAt?: Date;
}

/** One delivery for each endpoint that listens, and the message that it is due: all of them or none. */
export class AnnounceProcessor {
  constructor(
    private readonly parts: AnnounceParts,
    /** Address of the API as callers see it, without a slash at the end. */
    private readonly publicUrl: string,
  ) {}

  async draft(shopId: ShopId, id: DraftId, event: string): Promise<JobOutcome> {
    const { database, drafts } = this.parts;
    return this.announce(shopId, 'draft', await drafts.find(database.session, shopId, id), event);
  }

  async marker(shopId: ShopId, id: MarkerId, event: string): Promise<JobOutcome> {
    const { database, markers } = this.parts;
    return this.announce(shopId, 'marker', await markers.find(database.session, shopId, id), event);
  }

  async check(shopId: ShopId, id: CheckId, event: string): Promise<JobOutcome> {
    const { database, checks } = this.parts;
    return this.announce(shopId, 'check', await checks.find(database.session, shopId, id), event);
  }

  private async announce(
    shopId: ShopId,
    subject: Subject,
    ended: Ended | undefined,
    event: string,
  ): Promise<JobOutcome> {
    const { database, endpoints } = this.parts;
    if (ended === undefined || `${subject}.${ended.state}` !== event) return 'skipped';
    const payload = this.payloadOf(subject, ended);
    return database.unitOfWork.run(async (tx) => {
      const listening = await endpoints.listeningTo(tx, shopId, event);
      for (const endpoint of listening) await this.deliver(tx, shopId, endpoint, ended, event, payload);
      return listening.length === 0 ? 'skipped' : 'done';
    });
  }

  private async deliver(
    tx: Transaction,
    shopId: ShopId,
    { id: endpointId }: WebhookEndpoint,
    ended: Ended,
    eventType: string,
    payload: JsonObject,
  ): Promise<void> {
    const { deliveries, outbox, newId, now } = this.parts;
    const id = newId('delivery');
    const isNew = await deliveries.insert(tx, shopId, {
      id,
      endpointId,
      webhookId: webhookIdOf(ended),
      eventType,
      subjectId: ended.id,
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

  private payloadOf(subject: Subject, ended: Ended): JsonObject {
    const self = `${this.publicUrl}/v1/${subject}s/${ended.id}`;
    const body = webhookBody({
      subject,
      id: ended.id,
      state: ended.state as EndState,
      at: ended.finishedAt ?? ended.updatedAt,
      reference: ended.reference,
      styleId: ended.styleId,
      versionId: ended.versionId,
      sequence: ended.sequence,
      findingCounts: ended.findingCounts,
      links: { self, files: `${self}/files` },
    });
    return JSON.parse(body) as JsonObject;
  }
}

/** Work ends once, so its end has one id, on every attempt and after any restart: the receiver's key to repeats. */
function webhookIdOf({ id }: Ended): string {
  return `evt_${id.slice(id.indexOf('_') + 1)}`;
}
