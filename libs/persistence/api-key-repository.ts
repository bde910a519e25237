import type { ApiKey as ApiKeyRow } from './generated/client.js';
import type { ApiKeyId, ShopId } from './ids.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { SECRET_BYTES, secretHash, secretText } from './secret-hash.js';
import { rows, type Session } from './session.js';

/** What may be shown of a key. The secret itself is not kept and cannot be shown again. */
export interface ApiKey {
  readonly id: ApiKeyId;
  readonly shopId: ShopId;
  readonly label: string;
  /** The secret's first characters, by which its owner recognises it. */
  readonly prefix: string;
  readonly createdAt: Date;
  readonly lastUsedAt?: Date;
  readonly revokedAt?: Date;
}

export type NewApiKey = Pick<ApiKey, 'id' | 'label' | 'createdAt'>;

export const API_KEY_SECRET_BYTES = SECRET_BYTES;

const SHOWN_CHARACTERS = 11;

/** The text of a new key, from random bytes: `fkl_` and 43 characters. */
export function apiKeySecret(random: Uint8Array): string {
  return secretText('fkl', random);
}

export class ApiKeyRepository {
  async insert(session: Session, shopId: ShopId, key: NewApiKey, secret: string): Promise<ApiKey> {
    const prefix = secret.slice(0, SHOWN_CHARACTERS);
    return toApiKey(
      await rows(session).apiKey.create({ data: { ...key, shopId, prefix, secretHash: secretHash(secret) } }),
    );
  }

  /** The only look-up without a shop: it is how the shop is found. Revoked keys are not found. */
  async findBySecret(session: Session, secret: string): Promise<ApiKey | undefined> {
    const row = await rows(session).apiKey.findFirst({
      where: { secretHash: secretHash(secret), revokedAt: null },
    });
    return row === null ? undefined : toApiKey(row);
  }

  async page(session: Session, shopId: ShopId, request: PageRequest): Promise<Page<ApiKey>> {
    const { after, take, orderBy } = windowOf(request);
    return pageOf(
      await rows(session).apiKey.findMany({ where: { shopId, ...after }, take, orderBy }),
      request,
      toApiKey,
    );
  }

  async recordUse(session: Session, shopId: ShopId, id: ApiKeyId, lastUsedAt: Date): Promise<void> {
    await rows(session).apiKey.updateMany({ where: { shopId, id }, data: { lastUsedAt } });
  }

  /** False when there was no such key or it was revoked before. */
  async revoke(session: Session, shopId: ShopId, id: ApiKeyId, revokedAt: Date): Promise<boolean> {
    const { count } = await rows(session).apiKey.updateMany({
      where: { shopId, id, revokedAt: null },
      data: { revokedAt },
    });
    return count === 1;
  }
}

function toApiKey({ id, shopId, label, prefix, createdAt, lastUsedAt, revokedAt }: ApiKeyRow): ApiKey {
  return {
    id: id as ApiKeyId,
    shopId: shopId as ShopId,
    label,
    prefix,
    createdAt,
    ...(lastUsedAt === null ? {} : { lastUsedAt }),
    ...(revokedAt === null ? {} : { revokedAt }),
  };
}
