import { createLogger } from '#observability';
import { readSettings } from '#settings';
import { startWorker, type RunningWorker } from '../../apps/worker/start-worker.js';
import type { TestApi } from './test-api.js';

export interface TestWorker extends RunningWorker {
  /** Every line that was logged. */
  readonly log: () => string;
}

/** A worker on the database and the files of a test's API. */
export async function startTestWorker(
  { db, dataFolder }: Pick<TestApi, 'db' | 'dataFolder'>,
  environment: Readonly<Record<string, string>> = {},
  options: { readonly lostMs?: number } = {},
): Promise<TestWorker> {
  let log = '';
  const worker = await startWorker({
    settings: readSettings({
      FORKLINE_DATA_FOLDER: dataFolder,
      FORKLINE_WORKER_PORT: '0',
      FORKLINE_LOG_LEVEL: 'debug',
      FORKLINE_CLOSE_GRACE_MS: '5000',
      ...environment,
    }),
    databaseUrl: db.url,
    logger: createLogger({
      level: 'debug',
      base: { service: 'worker' },
      destination: { write: (line: string) => void (log += line) },
    }),
    ...options,
  });
  return { ...worker, log: () => log };
}
