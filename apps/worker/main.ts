import { join } from 'node:path';
import { usePostgres } from '#embedded-postgres';
import { createLogger, errorFields } from '#observability';
import { SettingsError, readSettings, type Settings } from '#settings';
import { startWorker } from './start-worker.js';

/** Longer than everything that `close` itself waits for: then something hangs, and the next worker takes over. */
const CLOSE_MARGIN_MS = 10_000;

async function main(): Promise<void> {
  const settings = settingsOrExit();
  const logger = createLogger({ level: settings.logLevel, base: { service: 'worker' } });
  const { databaseUrl, dataFolder } = settings;
  const postgres = await usePostgres({ databaseUrl, directory: join(dataFolder, 'postgres') });
  const worker = await startWorker({ settings, databaseUrl: postgres.url, logger });
  let isClosing = false;
  const close = (signal: string): void => {
    if (isClosing) return;
    isClosing = true;
    logger.info('worker.closing', { signal });
    setTimeout(() => process.exit(1), settings.closeGraceMs + CLOSE_MARGIN_MS).unref();
    // An embedded server is left running: the API beside us may use it, and the next start adopts it.
    worker.close().then(
      () => process.exit(0),
      (error: unknown) => {
        logger.error('worker.close-failed', {}, error);
        process.exit(1);
      },
    );
  };
  process.on('SIGTERM', () => close('SIGTERM'));
  process.on('SIGINT', () => close('SIGINT'));
}

function settingsOrExit(): Settings {
  try {
    return readSettings(process.env);
  } catch (error) {
    if (!(error instanceof SettingsError)) throw error;
    process.stderr.write(`${error.message}\n`);
    process.exit(2);
  }
}

await main().catch((error: unknown) => {
  process.stderr.write(`The worker could not start: ${startFault(error)}\n`);
  process.exit(1);
});

/** Our own errors are worded to be read; of others not the message: a driver's may quote an address with a password. */
function startFault(error: unknown): string {
  const { name, code, message } = error as NodeJS.ErrnoException;
  if (name === 'QueueError' && code === 'QUEUE_UNAVAILABLE')
    return 'the queue does not answer. Check that its PostgreSQL or Redis runs and has time to spare, and start again.';
  const ours = /^(PersistenceError|EmbeddedPostgresError|StorageError)$/.test(name);
  return ours ? message : JSON.stringify(errorFields(error));
}
