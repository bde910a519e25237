import { randomBytes } from 'node:crypto';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { usePostgres, type PostgresInUse } from '#embedded-postgres';
import {
  API_KEY_SECRET_BYTES,
  ApiKeyRepository,
  ShopRepository,
  apiKeySecret,
  createIds,
  migrate,
  openDatabase,
} from '#persistence';
import { startChild, type ChildService } from './child-service.js';
import type { Cleanup } from './cleanup.js';
import { useFolder } from './folder-users.js';

export interface ServiceOptions {
  readonly dataFolder: string;
  /** An outside server; the embedded one in the data folder when left out. */
  readonly databaseUrl?: string | undefined;
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

const MIGRATIONS = fileURLToPath(new URL('../../../prisma/migrations', import.meta.url));

/** What a child gets of this process' environment beside its settings: no secret that is not for it. */
const PASSED_ON = ['PATH', 'HOME', 'TMPDIR', 'LANG', 'TZ', 'NODE_EXTRA_CA_CERTS'] as const;

/**
 * Start database, API and worker, with a new shop and its key, and wait until they are ready.
 *
 * `cleanup` gets every step to undo as soon as it is taken, so that an interrupt in the middle leaves nothing running.
 * Killed outright, the services end by themselves, and the database is adopted by the next start.
 */
export async function startService(options: ServiceOptions, cleanup: Cleanup): Promise<Service> {
  const { dataFolder, databaseUrl, port, workerPort } = options;
  await mkdir(dataFolder, { recursive: true });
  const users = await useFolder(dataFolder);
  let postgres: PostgresInUse | undefined;
  await cleanup.add(async () => {
    if ((await users.leave()) === 'last') await postgres?.stop();
  });
  postgres = await usePostgres({ databaseUrl, directory: join(dataFolder, 'postgres') });
  await migrate({ url: postgres.url, directory: MIGRATIONS });
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
  const [apiKey] = await Promise.all([makeKey(postgres.url, options.shopName), api.ready(), worker.ready()]);
  return { apiUrl, workerUrl, apiKey, postgres, api, worker };
}

async function makeKey(url: string, name: string): Promise<string> {
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

function passedOn(): Record<string, string> {
  return Object.fromEntries(
    PASSED_ON.flatMap((name) => {
      const value = process.env[name];
      return value === undefined ? [] : [[name, value]];
    }),
  );
}
