import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { Cleanup } from './cleanup.js';
import { dataFolder } from './data-folder.js';
import { EXIT, UsageError, type ExitCode } from './exit-code.js';
import { windDownWith } from './interrupt.js';
import { makeKey } from './make-key.js';
import { startDatabase } from './service.js';
import { settingsOrUsage } from './settings-or-usage.js';
import type { Call, Streams, Verb } from './verb.js';

export const KEY: Verb = {
  name: 'key',
  summary: 'make a shop and its API key, in the database of up or the one that DATABASE_URL names',
  operands: ['SHOP'],
  options: {},
  description: [
    'Makes a shop of that name and prints its API key, which is kept as a hash only and cannot be shown again. The',
    'database is the one that DATABASE_URL names, in a container for instance, or else the one that up has made in',
    'the data folder; up may be running or not.',
  ],
  run,
};

async function run({ operands: [shopName] }: Call, streams: Streams): Promise<ExitCode> {
  const { databaseUrl } = settingsOrUsage();
  streams.out(databaseUrl === undefined ? await keyOfUp(shopName) : await makeKey(databaseUrl, shopName));
  return EXIT.answered;
}

/** In the database of `up`, which is started for it when it does not run. */
async function keyOfUp(shopName: string): Promise<string> {
  const folder = await dataFolder();
  if (!existsSync(join(folder, 'postgres')))
    throw new UsageError([
      `DATABASE_URL is not set, and up has made no database in ${folder} yet.`,
      'Set it to the database of the API, or start the service with up first.',
    ]);
  const cleanup = new Cleanup();
  windDownWith(() => cleanup.run());
  try {
    const { url } = await startDatabase({ dataFolder: folder, keep: 'durable' }, cleanup);
    return await makeKey(url, shopName);
  } finally {
    await cleanup.run();
    windDownWith(undefined);
  }
}
