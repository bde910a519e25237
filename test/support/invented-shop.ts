import { readFile } from 'node:fs/promises';
import { randomBytes } from 'node:crypto';
import { draftRequestHash, draftRequestJson, readDraftRequest, type DraftRequest } from '#contracts';
import {
  createIds,
  DraftRepository,
  OutboxRepository,
  ShopRepository,
  WebhookEndpointRepository,
  type Database,
  type DraftId,
  type JsonObject,
  type ShopId,
  type WebhookEndpoint,
} from '#persistence';
import { createSecret } from '#webhooks';

export const newId = createIds({ now: () => Date.now(), randomBytes });

const EXAMPLE = new URL('../../../examples/draft-request.json', import.meta.url);

/** The example's request, changed at its top. */
export async function exampleRequest(change: Readonly<Record<string, unknown>> = {}): Promise<DraftRequest> {
  const read = readDraftRequest({ ...(JSON.parse(await readFile(EXAMPLE, 'utf8')) as object), ...change });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.request;
}

/** A shop that writes to the database as the API does: rows and messages in one transaction, never the queue. */
export class InventedShop {
  private constructor(
    private readonly database: Database,
    readonly id: ShopId,
  ) {}

  static async open(database: Database): Promise<InventedShop> {
    const shop = { id: newId('shop'), name: 'Invented Tailors', createdAt: new Date() };
    await new ShopRepository().insert(database.session, shop);
    return new InventedShop(database, shop.id);
  }

  listen(url: string, change: Partial<WebhookEndpoint> = {}): Promise<WebhookEndpoint> {
    const now = new Date();
    return new WebhookEndpointRepository().insert(this.database.session, this.id, {
      id: newId('webhookEndpoint'),
      url,
      secrets: [{ secret: createSecret() }],
      eventTypes: [],
      enabled: true,
      createdAt: now,
      updatedAt: now,
      ...change,
    });
  }

  order(request: DraftRequest, reference = request.reference): Promise<DraftId> {
    const { reference: _, ...rest } = request;
    const referred = reference === undefined ? rest : { ...rest, reference };
    const json = JSON.parse(JSON.stringify(draftRequestJson(referred))) as JsonObject;
    return this.store(json, draftRequestHash(referred), reference);
  }

  /** Any JSON as an accepted request: also one that no door would have let in. */
  async store(request: JsonObject, requestHash = 'a'.repeat(64), reference?: string): Promise<DraftId> {
    const id = newId('draft');
    const createdAt = new Date();
    await this.database.unitOfWork.run(async (tx) => {
      const draft = {
        id,
        request,
        requestHash,
        createdAt,
        ...(reference === undefined ? {} : { reference }),
      };
      await new DraftRepository().insert(tx, this.id, draft);
      await new OutboxRepository().insert(tx, this.id, {
        id: newId('outboxMessage'),
        topic: 'produce-draft',
        payload: { version: 1, draftId: id },
        createdAt,
      });
    });
    return id;
  }

  async stateOf(id: DraftId): Promise<string> {
    return (await new DraftRepository().find(this.database.session, this.id, id))?.state ?? 'absent';
  }
}
