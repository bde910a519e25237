import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import pg from 'pg';
import type { DraftRequest } from '#contracts';
import { engineVersion, produceDeliverables } from '#deliverables';
import { migrate, openDatabase, type Database } from '#persistence';
import { hasRedis, startBarePostgres, startBareRedis, type BareServer } from '../support/bare-servers.js';
import { eventually } from '../support/eventually.js';
import { freePort } from '../support/free-port.js';
import { exampleRequest, InventedShop } from '../support/invented-shop.js';
import { describeWith } from '../support/needs.js';
import { startReceiver, type Receiver } from '../support/receiver.js';
import { startServiceProcess, type ServiceProcess } from '../support/service-process.js';
import { MIGRATIONS } from '../support/test-database.js';

jest.setTimeout(240_000);

const DRAFTS = 20;

/** The first of them take half a second each, so that a kill finds them at work; the others are here to be many. */
const LONG_DRAFTS = 6;

/**
 * From the kill to the end of what was at work. The figures of an idle machine are in docs/adr/0009; tests share
 * theirs with everything else.
 */
const RECOVERY_MS_MAX = 45_000;

let postgres: BareServer;
let database: Database;
let rows: pg.Pool;
let receiver: Receiver;
let folder: string;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'forkline-faults-'));
  postgres = await startBarePostgres();
  await migrate({ url: postgres.url, directory: MIGRATIONS });
  database = openDatabase({ url: postgres.url, connectionsMax: 4 });
  rows = new pg.Pool({ connectionString: postgres.url, max: 2 });
  rows.on('error', () => undefined); // cut when the server is killed
  receiver = await startReceiver((_request, response) => response.writeHead(204).end());
});

afterAll(async () => {
  await receiver.close();
  await database.close();
  await rows.end();
  await postgres.remove();
  await rm(folder, { recursive: true, force: true });
});

/** Asked through a server that may just be away. */
async function count(sql: string, values: readonly unknown[]): Promise<number> {
  try {
    const { rows: found } = await rows.query<{ count: string }>(sql, [...values]);
    return Number(found[0]?.count);
  } catch {
    return -1;
  }
}

const UNFINISHED = `SELECT count(*) FROM drafts WHERE shop_id = $1 AND state IN ('accepted', 'working')`;
const UNDELIVERED = `SELECT count(*) FROM deliveries WHERE shop_id = $1 AND state <> 'delivered'`;

interface AtWork {
  readonly id: string;
  readonly ready: string;
}

const AT_WORK = `SELECT id, (SELECT count(*) FROM drafts WHERE shop_id = $1 AND state = 'ready') AS ready
  FROM drafts WHERE shop_id = $1 AND state = 'working'`;

async function started(settings: Readonly<Record<string, string>>): Promise<ServiceProcess> {
  return startServiceProcess('worker', await freePort(), {
    DATABASE_URL: postgres.url,
    FORKLINE_DATA_FOLDER: folder,
    FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: receiver.address,
    ...settings,
  });
}

function proveRecovery(settings: () => Readonly<Record<string, string>>): void {
  it('ends every draft once, with the files of an undisturbed run and one message of one id', async () => {
    const shop = await InventedShop.open(database);
    await shop.listen(receiver.url);
    const before = receiver.received.length;
    const orders: { readonly id: string; readonly request: DraftRequest }[] = [];
    for (let i = 0; i < DRAFTS; i++) {
      const outputs = i < LONG_DRAFTS ? ['proof', 'pattern'] : ['pattern'];
      const request = await exampleRequest({ reference: `order ${i}`, outputs });
      orders.push({ id: await shop.order(request), request });
    }

    const first = await started(settings());
    const atWork = await eventually(
      async () => {
        const { rows: found } = await rows.query<AtWork>(AT_WORK, [shop.id]);
        return found;
      },
      (found) => found.some(({ ready }) => Number(ready) > 0),
      120_000,
    );
    await first.kill();
    const killedAt = performance.now();
    const second = await started(settings());
    const atWorkLeft = `SELECT count(*) FROM drafts WHERE id = ANY($1) AND state IN ('accepted', 'working')`;
    await eventually(
      () => count(atWorkLeft, [atWork.map(({ id }) => id)]),
      (left) => left === 0,
      120_000,
    );
    const recoveryMs = performance.now() - killedAt;

    await postgres.kill();
    await postgres.revive();
    await eventually(
      () => count(UNFINISHED, [shop.id]),
      (left) => left === 0,
      120_000,
    );
    const messages = () => receiver.received.slice(before);
    const announced = () => new Set(messages().map(({ body }) => JSON.parse(body).data.draft as string));
    await eventually(
      () => announced().size,
      (found) => found === DRAFTS,
      60_000,
    );
    // A message may have arrived while Postgres was away to record it: it stays pending, and is sent again with its id.
    await eventually(
      () => count(UNDELIVERED, [shop.id]),
      (left) => left === 0,
      120_000,
    );
    expect(await second.stop()).toBe(0);

    expect(recoveryMs).toBeLessThan(RECOVERY_MS_MAX);
    for (const { id, request } of orders) {
      const undisturbed = await produceDeliverables(request, engineVersion(), () => undefined);
      const { rows: files } = await rows.query('SELECT name, sha256 FROM draft_files WHERE draft_id = $1', [
        id,
      ]);
      expect(Object.fromEntries(files.map(({ name, sha256 }) => [name, sha256]))).toEqual(
        Object.fromEntries(undisturbed.files.map(({ name, sha256 }) => [name, sha256])),
      );
      const sent = messages().filter(({ body }) => JSON.parse(body).data.draft === id);
      expect(new Set(sent.map(({ headers }) => headers['webhook-id'])).size).toBe(1);
      expect(new Set(sent.map(({ body }) => body)).size).toBe(1);
    }
    const { rows: deliveries } = await rows.query('SELECT state FROM deliveries WHERE shop_id = $1', [
      shop.id,
    ]);
    expect(deliveries).toEqual(Array.from({ length: DRAFTS }, () => ({ state: 'delivered' })));
    for (const log of [first.log(), second.log()])
      expect(log).not.toMatch(/unforeseen|"event":"job.parked"/i);
  });
}

describe('a worker and a database killed in the middle of twenty drafts, the queue on the database', () => {
  proveRecovery(() => ({}));
});

const REDIS = { name: 'redis-server', found: hasRedis() ? 'redis-server' : undefined };

describeWith(
  REDIS,
  'a worker and a database killed in the middle of twenty drafts, the queue on Redis',
  () => {
    let redis: BareServer;
    beforeAll(async () => {
      redis = await startBareRedis();
    });
    afterAll(() => redis.remove());

    proveRecovery(() => ({ REDIS_URL: redis.url }));
  },
);
