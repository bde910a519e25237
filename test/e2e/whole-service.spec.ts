import { randomBytes, randomUUID } from 'node:crypto';
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import { createShop } from '#persistence';
import { hasRedis, startBareRedis, type BareServer } from '../support/bare-servers.js';
import { forkline } from '../support/command-line.js';
import { eventually } from '../support/eventually.js';
import { freePort } from '../support/free-port.js';
import { describeWith } from '../support/needs.js';
import { startReceiver, type Receiver } from '../support/receiver.js';
import { startServiceProcess, whenReady, type ServiceProcess } from '../support/service-process.js';
import { createTestDatabase, type TestDatabase } from '../support/test-database.js';

jest.setTimeout(240_000);

/** Invented, and so odd that no other number of the service is likely to be one of them. */
const PLANTED = { waistGirth: 743.19, hipGirth: 1003.57, insideLegLength: 766.83 };
const PLANTED_TEXT = /743\.?19|1003\.?57|766\.?83/;

const KEYS = 12;

let test: TestDatabase;
let receiver: Receiver;
let api: ServiceProcess;
let worker: ServiceProcess;
let folder: string;
let authorization: string;
let request: Record<string, unknown>;
let settings: Record<string, string>;
let apiPort: number;
const apiLogs: (() => string)[] = [];

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'forkline-e2e-'));
  test = await createTestDatabase(4);
  receiver = await startReceiver((_request, response) => response.writeHead(204).end());
  const source = { now: () => Date.now(), randomBytes };
  const { apiKey } = await createShop(test.database, { name: 'Invented Tailors', keyLabel: 'test' }, source);
  authorization = `Bearer ${apiKey}`;
  apiPort = await freePort();
  settings = {
    DATABASE_URL: test.url,
    FORKLINE_DATA_FOLDER: folder,
    FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: receiver.address,
    FORKLINE_LOG_LEVEL: 'debug',
    FORKLINE_PUBLIC_URL: `http://127.0.0.1:${apiPort}`,
  };
  startApi();
  worker = startServiceProcess('worker', await freePort(), settings);
  await Promise.all([whenReady(api), whenReady(worker)]);
  const example = JSON.parse(
    await readFile(new URL('../../../examples/draft-request.json', import.meta.url), 'utf8'),
  ) as { body: { measures: object } };
  const body = { ...example.body, measures: { ...example.body.measures, ...PLANTED } };
  request = { ...example, body, outputs: ['pattern'], reference: 'order 9' };
  expect((await call('POST', '/v1/webhook-endpoints', { url: receiver.url })).status).toBe(201);
});

afterAll(async () => {
  expect(await Promise.all([api.stop(), worker.stop()])).toEqual([0, 0]);
  await receiver.close();
  await test.drop();
  await rm(folder, { recursive: true, force: true });
});

function startApi(): void {
  api = startServiceProcess('api', apiPort, settings);
  apiLogs.push(api.log);
}

function call(method: string, path: string, body?: unknown, key: string = randomUUID()): Promise<Response> {
  return fetch(`http://127.0.0.1:${apiPort}${path}`, {
    method,
    headers: { authorization, 'content-type': 'application/json', 'idempotency-key': key },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
}

async function manifestOf(draftId: string): Promise<string> {
  const state = async () =>
    ((await (await call('GET', `/v1/drafts/${draftId}`)).json()) as { state: string }).state;
  await eventually(state, (found) => found === 'ready', 60_000);
  return (await call('GET', `/v1/drafts/${draftId}/files/manifest.json`)).text();
}

describe('one request', () => {
  it('has one manifest, over REST, GraphQL and the command line', async () => {
    const { id } = (await (await call('POST', '/v1/drafts', request)).json()) as { id: string };
    const query = 'mutation ($request: DraftRequest!) { createDraft(request: $request) { id } }';
    const answer = await call('POST', '/graphql', { query, variables: { request } });
    const { data } = (await answer.json()) as { data: { createDraft: { id: string } } };
    await writeFile(join(folder, 'request.json'), JSON.stringify(request));
    await forkline(['draft', 'request.json', '--out', 'drafted'], folder);

    const manifest = await readFile(join(folder, 'drafted/manifest.json'), 'utf8');
    expect(await manifestOf(id)).toBe(manifest);
    expect(await manifestOf(data.createDraft.id)).toBe(manifest);
  });
});

function proveOneDraftAKey(): void {
  it('makes one draft a key all the same, when its callers ask again', async () => {
    const keys = Array.from({ length: KEYS }, () => randomUUID());
    const before = (await test.query('SELECT id FROM drafts')).map(({ id }) => id);
    const ask = (key: string) =>
      call('POST', '/v1/drafts', request, key).then(
        ({ status }) => status,
        () => 0,
      );
    const asked = Promise.all(keys.map(ask));
    // The first row is there the moment its transaction is committed; its answer is then on the way at most.
    await eventually(
      () => test.query('SELECT id FROM drafts'),
      (rows) => rows.length > before.length,
      30_000,
    );
    await api.kill();
    const answered = (await asked).filter((status) => status === 202).length;
    startApi();
    await whenReady(api);
    for (const key of keys)
      await eventually(
        () => ask(key),
        (status) => status === 202,
        60_000,
      );

    const made = async () =>
      (await test.query('SELECT id, state FROM drafts')).filter(({ id }) => !before.includes(id));
    expect(answered).toBeLessThan(KEYS);
    expect(await made()).toHaveLength(KEYS);
    await eventually(made, (drafts) => drafts.every(({ state }) => state === 'ready'), 60_000);
    const ids = (await made()).map(({ id }) => String(id));
    const told = () => ids.filter((id) => receiver.received.some(({ body }) => body.includes(id)));
    await eventually(told, (found) => found.length === ids.length, 30_000);
  });
}

describe('an API that is killed between its commit and its answer, the queue on the database', () => {
  proveOneDraftAKey();
});

describe('the measures of a body', () => {
  it('are in no log, address, file name, webhook, metric or message', async () => {
    const metrics = await Promise.all(
      [api, worker].map(async ({ url }) => (await fetch(`${url}/metrics`)).text()),
    );
    const names = (await readdir(folder, { recursive: true })).map(String);
    const webhooks = receiver.received.map(
      ({ headers, path, body }) => JSON.stringify(headers) + path + body,
    );
    const queued = await test.query('SELECT data::text AS text FROM forkline_queue.job');
    const logs = [...apiLogs.map((log) => log()), worker.log()];
    for (const text of [
      ...logs,
      ...metrics,
      ...names,
      ...webhooks,
      ...queued.map((row) => String(row['text'])),
    ])
      expect(text.match(PLANTED_TEXT)).toBeNull();
    // The search finds what it looks for where it has to be.
    expect(await readFile(join(folder, 'drafted/request.json'), 'utf8')).toMatch(PLANTED_TEXT);
    expect([queued.length > 0, webhooks.length > KEYS, logs.join('').includes('draft.ready')]).toEqual([
      true,
      true,
      true,
    ]);
  });
});

const REDIS = { name: 'redis-server', found: hasRedis() ? 'redis-server' : undefined };

// Last: what runs is moved to the other queue and stays there.
describeWith(REDIS, 'an API that is killed between its commit and its answer, the queue on Redis', () => {
  let redis: BareServer;
  beforeAll(async () => {
    redis = await startBareRedis();
    await Promise.all([api.stop(), worker.stop()]);
    settings = { ...settings, REDIS_URL: redis.url };
    startApi();
    worker = startServiceProcess('worker', await freePort(), settings);
    await Promise.all([whenReady(api), whenReady(worker)]);
  });
  afterAll(async () => {
    await Promise.all([api.stop(), worker.stop()]);
    await redis.remove();
  });

  proveOneDraftAKey();
});
