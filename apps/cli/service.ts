import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { usePostgres, type PostgresInUse } from '#embedded-postgres';
import { startChild, type ChildService } from './child-service.js';
import type { Cleanup } from './cleanup.js';
import { useFolder } from './folder-users.js';
import { makeKey } from './make-key.js';

export interface ServiceOptions {
  readonly dataFolder: string;
  /** An outside server; the embedded one in the data folder when left out. */
  readonly databaseUrl?: string | undefined;
  /** `disposable` does without flushing to the disk: quick on a busy one, and lost with a power cut. */
  readonly keep: 'durable' | 'disposable';
  readonly port: number;
  readonly workerPort: number;
  /** More settings, by variable. */
  readonly settings: Readonly<Record<string, string>>;
  /** Of the shop that is made for this run. */
  readonly shopName: string;
}

export interface Service {
  readonly apiUrl: string;
  readonly workerUrl: string;
  /** A new key of a new shop. */
  readonly apiKey: string;
  readonly postgres: PostgresInUse;
  readonly api: ChildService;
  readonly worker: ChildService;
}

/** Its files are written and flushed at the first start, which a busy disk makes a matter of a minute. */
const DATABASE_MS_MAX = 120_000;

/** What a child gets of this process' environment beside its settings: no secret that is not for it. */
const PASSED_ON = ['PATH', 'HOME', 'TMPDIR', 'LANG', 'TZ', 'NODE_EXTRA_CA_CERTS'] as const;

/**
 * Start database, API and worker, with a new shop and its key, and wait until they are ready.
 *
 * `cleanup` gets every step to undo as soon as it is taken, so that an interrupt in the middle leaves nothing running.
 * Killed outright, the services end by themselves, and the database is adopted by the next start.
 */
export async function startService(options: ServiceOptions, cleanup: Cleanup): Promise<Service> {
  const { dataFolder, port, workerPort } = options;
  const postgres = await startDatabase(options, cleanup);
  const apiKey = await makeKey(postgres.url, options.shopName);
  const environment = {
    ...passedOn(),
    ...options.settings,
    DATABASE_URL: postgres.url,
    FORKLINE_DATA_FOLDER: dataFolder,
    FORKLINE_PORT: String(port),
    FORKLINE_WORKER_PORT: String(workerPort),
  };
  const apiUrl = `http://127.0.0.1:${port}`;
  const workerUrl = `http://127.0.0.1:${workerPort}`;
  const start = (name: 'api' | 'worker', url: string): ChildService =>
    startChild({ name, environment, url, logFile: join(dataFolder, `${name}.log`) });
  const [api, worker] = [start('api', apiUrl), start('worker', workerUrl)];
  await cleanup.add(async () => {
    await Promise.all([api.stop(), worker.stop()]);
  });
  await Promise.all([api.ready(), worker.ready()]);
  return { apiUrl, workerUrl, apiKey, postgres, api, worker };
}

/** The database of a data folder, or the outside one; at the end it is stopped unless someone else still uses it. */
export async function startDatabase(
  { dataFolder, databaseUrl, keep }: Pick<ServiceOptions, 'dataFolder' | 'databaseUrl' | 'keep'>,
  cleanup: Cleanup,
): Promise<PostgresInUse> {
  await mkdir(dataFolder, { recursive: true });
  const users = await useFolder(dataFolder);
  const starting = usePostgres({
    databaseUrl,
    directory: join(dataFolder, 'postgres'),
    timeoutMs: DATABASE_MS_MAX,
    profile: keep === 'durable' ? 'durable' : 'test',
  });
  await cleanup.add(async () => {
    const server = await starting.catch(() => undefined); // its failure is thrown below
    if ((await users.leave()) === 'last') await server?.stop();
  });
  return starting;
}

function passedOn(): Record<string, string> {
  return Object.fromEntries(
    PASSED_ON.flatMap((name) => {
      const value = process.env[name];
      return value === undefined ? [] : [[name, value]];
    }),
  );
}
