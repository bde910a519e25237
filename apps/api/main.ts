import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { usePostgres } from '#embedded-postgres';
import { createLogger } from '#observability';
import { migrate } from '#persistence';
import { filePlaceOf, readSettings, SettingsError } from '#settings';
import { openFileStore } from '#storage';
import { startApi } from './start-api.js';

/** This file runs as dist/apps/api/main.js. */
const MIGRATIONS = fileURLToPath(new URL('../../../prisma/migrations', import.meta.url));

const EXIT_SETTINGS = 2;

async function main(): Promise<void> {
  const settings = readSettings(process.env);
  const logger = createLogger({ level: settings.logLevel, base: { service: 'api' } });
  const { databaseUrl, dataFolder } = settings;
  const postgres = await usePostgres({ databaseUrl, directory: join(dataFolder, 'postgres') });
  await migrate({ url: postgres.url, directory: MIGRATIONS });
  const store = await openFileStore(filePlaceOf(settings), Date.now());
  const api = await startApi(settings, { databaseUrl: postgres.url, store, logger });
  process.stdout.write(`Forkline answers at ${api.url}\n`);
  // Once: a second signal ends the process at once, as people expect of it. The embedded server goes on, because
  // a worker beside this process may use it too.
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.once(signal, () => {
      logger.info('api.stopping', { signal });
      void api.close().then(() => process.exit(0));
    });
  }
}

main().catch((error: unknown) => {
  if (error instanceof SettingsError) process.stderr.write(`${error.message}\n`);
  else process.stderr.write(`The service could not start: ${startFault(error)}\n`);
  process.exit(error instanceof SettingsError ? EXIT_SETTINGS : 1);
});

/** Our own errors are worded to be read; of others only the name and code, which hold nobody's data or password. */
function startFault(error: unknown): string {
  const { name, code, message } = error as NodeJS.ErrnoException;
  const ours = /^(PersistenceError|EmbeddedPostgresError|StorageError)$/.test(name);
  return ours ? message : `${name} ${code ?? ''}`.trim();
}
