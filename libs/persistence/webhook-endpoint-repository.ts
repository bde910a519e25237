import type { WebhookEndpoint as EndpointRow } from './generated/client.js';
import type { ShopId, WebhookEndpointId } from './ids.js';
import { fromColumn, toColumn } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session } from './session.js';

/** A signing secret. While one is being replaced there are two, and both sign. */
export interface WebhookSecret {
  /** `whsec_` and base64. Shown once, and never logged. */
  readonly secret: string;
  /** ISO 8601. After it the secret no longer signs; missing on the newest. */
  readonly retiresAt?: string;
}

export interface WebhookEndpoint {
  readonly id: WebhookEndpointId;
  readonly url: string;
  /** Newest first, at least one. */
  readonly secrets: readonly WebhookSecret[];
  /** Empty means every event. */
  readonly eventTypes: readonly string[];
  readonly enabled: boolean;
  /** Why not, when it is not. */
  readonly disabledReason?: string;
  readonly createdAt: Date;
  readonly updatedAt: Date;
}

export type WebhookEndpointChange = Partial<Pick<WebhookEndpoint, 'url' | 'secrets' | 'eventTypes'>> & {
  readonly enabled?: true;
  readonly updatedAt: Date;
};

export class WebhookEndpointRepository {
  async insert(session: Session, shopId: ShopId, endpoint: WebhookEndpoint): Promise<WebhookEndpoint> {
    const { secrets, eventTypes, ...rest } = endpoint;
    const data = { ...rest, shopId, secrets: toSecretsColumn(secrets), eventTypes: [...eventTypes] };
    return toEndpoint(await rows(session).webhookEndpoint.create({ data }));
  }

  async find(session: Session, shopId: ShopId, id: WebhookEndpointId): Promise<WebhookEndpoint | undefined> {
    const row = await rows(session).webhookEndpoint.findFirst({ where: { shopId, id } });
    return row === null ? undefined : toEndpoint(row);
  }

  async page(session: Session, shopId: ShopId, request: PageRequest): Promise<Page<WebhookEndpoint>> {
    const { after, take, orderBy } = windowOf(request);
    const found = await rows(session).webhookEndpoint.findMany({
      where: { shopId, ...after },
      take,
      orderBy,
    });
    return pageOf(found, request, toEndpoint);
  }

  /** Those of the shop that want the event now. */
  async listeningTo(
    session: Session,
    shopId: ShopId,
    eventType: string,
  ): Promise<readonly WebhookEndpoint[]> {
    const found = await rows(session).webhookEndpoint.findMany({
      where: {
        shopId,
        enabled: true,
        OR: [{ eventTypes: { isEmpty: true } }, { eventTypes: { has: eventType } }],
      },
      orderBy: { id: 'asc' },
    });
    return found.map(toEndpoint);
  }

  /** The changed endpoint; undefined when the shop has none of that id. Enabling clears the reason. */
  async update(
    session: Session,
    shopId: ShopId,
    id: WebhookEndpointId,
    { url, secrets, eventTypes, enabled, updatedAt }: WebhookEndpointChange,
  ): Promise<WebhookEndpoint | undefined> {
    const data = {
      updatedAt,
      ...(url === undefined ? {} : { url }),
      ...(secrets === undefined ? {} : { secrets: toSecretsColumn(secrets) }),
      ...(eventTypes === undefined ? {} : { eventTypes: [...eventTypes] }),
      ...(enabled === undefined ? {} : { enabled, disabledReason: null }),
    };
    const [row] = await rows(session).webhookEndpoint.updateManyAndReturn({ where: { shopId, id }, data });
    return row === undefined ? undefined : toEndpoint(row);
  }

  /** False when it was disabled before: the first reason stands. */
  async disable(
    session: Session,
    shopId: ShopId,
    id: WebhookEndpointId,
    disabledReason: string,
    updatedAt: Date,
  ): Promise<boolean> {
    const { count } = await rows(session).webhookEndpoint.updateMany({
      where: { shopId, id, enabled: true },
      data: { enabled: false, disabledReason, updatedAt },
    });
    return count === 1;
  }

  /** Its deliveries go with it. */
  async remove(session: Session, shopId: ShopId, id: WebhookEndpointId): Promise<boolean> {
    return (await rows(session).webhookEndpoint.deleteMany({ where: { shopId, id } })).count === 1;
  }
}

function toSecretsColumn(secrets: readonly WebhookSecret[]): ReturnType<typeof toColumn> {
  return toColumn(secrets.map((secret) => ({ ...secret })));
}

function toEndpoint({ shopId: _, ...row }: EndpointRow): WebhookEndpoint {
  const { disabledReason, ...rest } = row;
  return {
    ...rest,
    id: row.id as WebhookEndpointId,
    secrets: fromColumn(row.secrets),
    ...(disabledReason === null ? {} : { disabledReason }),
  };
}
