import { EXIT, UsageError, type ExitCode } from './exit-code.js';
import { makeKey } from './make-key.js';
import { settingsOrUsage } from './settings-or-usage.js';
import type { Call, Streams, Verb } from './verb.js';

export const KEY: Verb = {
  name: 'key',
  summary: 'make a shop and its API key in the database that DATABASE_URL names',
  operands: ['SHOP'],
  options: {},
  description: [
    'Makes a shop of that name and prints its API key, which is kept as a hash only and cannot be shown again. The',
    'verb up makes a shop of its own; this is for an API that runs elsewhere, in a container for instance.',
  ],
  run,
};

async function run({ operands: [shopName] }: Call, streams: Streams): Promise<ExitCode> {
  const { databaseUrl } = settingsOrUsage();
  if (databaseUrl === undefined)
    throw new UsageError(['DATABASE_URL is not set. Set it to the database of the API, or use the verb up.']);
  streams.out(await makeKey(databaseUrl, shopName));
  return EXIT.answered;
}
