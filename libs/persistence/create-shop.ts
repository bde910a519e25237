import { API_KEY_SECRET_BYTES, apiKeySecret, ApiKeyRepository } from './api-key-repository.js';
import type { Database } from './database.js';
import { createIds, type IdSource, type ShopId } from './ids.js';
import { ShopRepository } from './shop-repository.js';

export interface NewShop {
  readonly name: string;
  /** What the key is for, for whoever looks at the list of keys. */
  readonly keyLabel: string;
}

export interface ShopAndKey {
  readonly shopId: ShopId;
  /** What calls carry as `Authorization: Bearer ...`. Only its hash is kept: it cannot be shown again. */
  readonly apiKey: string;
}

/** A shop with its first API key. */
export async function createShop(
  { unitOfWork }: Pick<Database, 'unitOfWork'>,
  { name, keyLabel }: NewShop,
  source: IdSource,
): Promise<ShopAndKey> {
  const newId = createIds(source);
  const createdAt = new Date(source.now());
  const shopId = newId('shop');
  const apiKey = apiKeySecret(source.randomBytes(API_KEY_SECRET_BYTES));
  await unitOfWork.run(async (tx) => {
    await new ShopRepository().insert(tx, { id: shopId, name, createdAt });
    await new ApiKeyRepository().insert(
      tx,
      shopId,
      { id: newId('apiKey'), label: keyLabel, createdAt },
      apiKey,
    );
  });
  return { shopId, apiKey };
}
