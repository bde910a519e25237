import { randomBytes } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { createLogger } from '#observability';
import { createShop, DraftMoves, type DraftId, type JsonObject, type ShopId } from '#persistence';
import { readSettings } from '#settings';
import { openDiskFileStore, type FileStore } from '#storage';
import { startApi } from '../../apps/api/start-api.js';
import { createTestDatabase, type TestDatabase } from './test-database.js';

export interface TestShop {
  readonly id: ShopId;
  /** The headers of its calls. */
  readonly as: { readonly authorization: string };
}

/** The whole service on a database and a folder of its own, with two shops that must not see each other. */
export interface TestApi {
  readonly url: string;
  readonly db: TestDatabase;
  readonly store: FileStore;
  /** A worker that is given it as its own finds the same files. */
  readonly dataFolder: string;
  readonly shop: TestShop;
  readonly otherShop: TestShop;
  /** Every line that was logged. */
  readonly log: () => string;
  addShop(): Promise<TestShop>;
  /** Do as a worker does: begin the draft and end it with these files. */
  finishDraft(shop: TestShop, id: string, files?: Readonly<Record<string, Uint8Array>>): Promise<void>;
  close(): Promise<void>;
}

export interface TestApiOptions {
  readonly rate?: { readonly burst: number; readonly perSecond: number };
  readonly environment?: Readonly<Record<string, string>>;
  /** The database as the service is to reach it, such as through something that can be cut. */
  readonly databaseUrl?: (url: string) => string;
}

/** So many that no test meets the limit unless it means to. */
const NO_LIMIT = { burst: 1e9, perSecond: 1e9 };

export async function startTestApi({
  rate = NO_LIMIT,
  environment = {},
  databaseUrl,
}: TestApiOptions = {}): Promise<TestApi> {
  const db = await createTestDatabase();
  const directory = await mkdtemp(join(tmpdir(), 'forkline-api-'));
  const store = await openDiskFileStore({ directory: join(directory, 'files'), nowMs: Date.now() });
  const lines: string[] = [];
  const destination = new Writable({
    write: (chunk: Buffer, _encoding, done) => {
      lines.push(chunk.toString());
      done();
    },
  });
  const logger = createLogger({ level: 'debug', base: { service: 'api' }, destination });
  const settings = readSettings({ FORKLINE_PORT: '0', FORKLINE_CLOSE_GRACE_MS: '500', ...environment });
  const api = await startApi(settings, { databaseUrl: databaseUrl?.(db.url) ?? db.url, store, logger, rate });
  const addShop = async (): Promise<TestShop> => {
    const source = { now: Date.now, randomBytes };
    const { shopId, apiKey } = await createShop(
      db.database,
      { name: 'Invented Tailors', keyLabel: 'test' },
      source,
    );
    return { id: shopId, as: { authorization: `Bearer ${apiKey}` } };
  };
  return {
    url: api.url,
    db,
    store,
    dataFolder: directory,
    shop: await addShop(),
    otherShop: await addShop(),
    log: () => lines.join(''),
    addShop,
    finishDraft: (shop, id, files = {}) => finishDraft(db, store, shop, id as DraftId, files),
    close: async () => {
      await api.close();
      await db.drop();
      await rm(directory, { recursive: true, force: true });
    },
  };
}

const RESULT: JsonObject = {
  findings: [
    {
      code: 'HEM_TIGHT',
      level: 'info',
      message: 'The hem is tight.',
      action: 'Open it.',
      numbers: { hemMm: 1 },
    },
  ],
};

async function finishDraft(
  { database }: TestDatabase,
  store: FileStore,
  { id: shopId }: TestShop,
  id: DraftId,
  files: Readonly<Record<string, Uint8Array>>,
): Promise<void> {
  const moves = new DraftMoves();
  const stored = await Promise.all(
    Object.entries(files).map(async ([name, content]) => ({
      name,
      mediaType: name.endsWith('.svg') ? 'image/svg+xml' : 'application/octet-stream',
      ...(await store.put(content)),
    })),
  );
  const beginning = { afterAttempt: 0, engineVersion: 'forkline test', now: new Date() };
  await database.unitOfWork.run((tx) => moves.begin(tx, shopId, id, beginning));
  await moves.report(database.session, shopId, id, 1, { stage: 'drafting', fraction: 0.5, now: new Date() });
  const findingCounts = { info: 1, warning: 0, stop: 0 };
  const outcome = { state: 'ready', result: RESULT, findingCounts, files: stored, now: new Date() } as const;
  await database.unitOfWork.run((tx) => moves.finish(tx, shopId, id, 1, outcome));
}
