import { randomBytes } from 'node:crypto';
import {
  BodyRepository,
  createIds,
  DraftRepository,
  ShopRepository,
  WebhookEndpointRepository,
  type BodyId,
  type DraftId,
  type NewDraft,
  type Session,
  type ShopId,
  type StoredBlock,
  type StoredBody,
  type WebhookEndpoint,
} from '#persistence';

export const NOW = new Date('2026-03-02T09:00:00.000Z');
export const later = (ms: number): Date => new Date(NOW.getTime() + ms);

export const newId = createIds({ now: () => NOW.getTime(), randomBytes });

export async function storeShop(session: Session, name = 'Invented Tailors'): Promise<ShopId> {
  return (await new ShopRepository().insert(session, { id: newId('shop'), name, createdAt: NOW })).id;
}

/** Invented measures in millimetres. */
export function aBody(change: Partial<StoredBody> = {}): StoredBody {
  const id = newId('body');
  return {
    id,
    ref: `customer-${id.slice(-6)}`,
    sex: 'female',
    insideLegTaken: 'taped',
    measures: {
      waistGirth: 741,
      hipGirth: 987.5,
      totalCrotchLength: 702,
      waistHeight: 1043,
      insideLegLength: 781,
    },
    corrections: [{ date: '2026-01-05', use: 'waist', with: { by: -10 } }],
    createdAt: NOW,
    updatedAt: NOW,
    ...change,
  };
}

export async function storeBody(
  session: Session,
  shopId: ShopId,
  change: Partial<StoredBody> = {},
): Promise<BodyId> {
  return (await new BodyRepository().insert(session, shopId, aBody(change))).id;
}

export function aBlock(change: Partial<StoredBlock> = {}): StoredBlock {
  return { id: newId('block'), name: 'W-classic', createdAt: NOW, ...change };
}

export const BLOCK_CONTENT = {
  name: 'W-classic',
  levels: { hip: 830, crotch: 780, knee: 450, hem: 0 },
  pieces: [],
};

export function aDraft(change: Partial<NewDraft> = {}): NewDraft {
  return {
    id: newId('draft'),
    request: {
      bodyId: 'bdy_x',
      block: 'from-body',
      alterations: [{ use: 'drop-crotch', with: { drop: 0.5 } }],
    },
    requestHash: 'a'.repeat(64),
    createdAt: NOW,
    ...change,
  };
}

export async function storeDraft(
  session: Session,
  shopId: ShopId,
  change: Partial<NewDraft> = {},
): Promise<DraftId> {
  return (await new DraftRepository().insert(session, shopId, aDraft(change))).id;
}

export function anEndpoint(change: Partial<WebhookEndpoint> = {}): WebhookEndpoint {
  return {
    id: newId('webhookEndpoint'),
    url: 'https://shop.example/hooks',
    secrets: [{ secret: `whsec_${randomBytes(32).toString('base64')}` }],
    eventTypes: [],
    enabled: true,
    createdAt: NOW,
    updatedAt: NOW,
    ...change,
  };
}

export async function storeEndpoint(
  session: Session,
  shopId: ShopId,
  change: Partial<WebhookEndpoint> = {},
): Promise<WebhookEndpoint> {
  return new WebhookEndpointRepository().insert(session, shopId, anEndpoint(change));
}
