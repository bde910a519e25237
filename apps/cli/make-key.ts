import { randomBytes } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import {
  API_KEY_SECRET_BYTES,
  ApiKeyRepository,
  ShopRepository,
  apiKeySecret,
  createIds,
  migrate,
  openDatabase,
} from '#persistence';

/** This file runs as dist/apps/cli/make-key.js. */
const MIGRATIONS = fileURLToPath(new URL('../../../prisma/migrations', import.meta.url));

/** A new shop and a key of its own, in a database that is brought up to date first. The key is not kept. */
export async function makeKey(url: string, name: string): Promise<string> {
  await migrate({ url, directory: MIGRATIONS });
  const database = openDatabase({ url, connectionsMax: 1 });
  const newId = createIds({ now: () => Date.now(), randomBytes });
  const createdAt = new Date();
  try {
    const secret = apiKeySecret(randomBytes(API_KEY_SECRET_BYTES));
    await database.unitOfWork.run(async (tx) => {
      const { id } = await new ShopRepository().insert(tx, { id: newId('shop'), name, createdAt });
      await new ApiKeyRepository().insert(tx, id, { id: newId('apiKey'), label: name, createdAt }, secret);
    });
    return secret;
  } finally {
    await database.close();
  }
}
