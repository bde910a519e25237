import { randomBytes } from 'node:crypto';
import { fileURLToPath } from 'node:url';

/** This file runs as dist/apps/cli/make-key.js. */
const MIGRATIONS = fileURLToPath(new URL('../../../prisma/migrations', import.meta.url));

/** A new shop and a key of its own, in a database that is brought up to date first. The key is not kept. */
export async function makeKey(url: string, name: string): Promise<string> {
  // Only for the verbs that need it: the other ones would wait for the database's client to load.
  const { createShop, migrate, openDatabase } = await import('#persistence');
  await migrate({ url, directory: MIGRATIONS });
  const database = openDatabase({ url, connectionsMax: 1 });
  try {
    const source = { now: () => Date.now(), randomBytes };
    return (await createShop(database, { name, keyLabel: 'first key' }, source)).apiKey;
  } finally {
    await database.close();
  }
}
