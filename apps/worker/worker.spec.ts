import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import { Webhook } from 'standardwebhooks';
import { engineVersion, produceDeliverables } from '#deliverables';
import { createLogger } from '#observability';
import { DraftMoves, DraftRepository, type DraftId, type StoredDraft } from '#persistence';
import { readSettings } from '#settings';
import { openDiskFileStore } from '#storage';
import { eventually } from '../../test/support/eventually.js';
import { exampleRequest, InventedShop, newId } from '../../test/support/invented-shop.js';
import { startReceiver, type Receiver } from '../../test/support/receiver.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';
import { startWorker, type RunningWorker } from './start-worker.js';

jest.setTimeout(120_000);

const ENDED = ['ready', 'needs_attention', 'failed', 'cancelled'];

/** The measures of the example that no garment measure of it equals. */
const PLANTED = /\b(740|585|1660|1040)(\.0+)?\b/;

let test: TestDatabase;
let shop: InventedShop;
let receiver: Receiver;
let worker: RunningWorker;
let folder: string;
let log = '';

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'forkline-worker-'));
  test = await createTestDatabase();
  shop = await InventedShop.open(test.database);
  receiver = await startReceiver((request, response) => {
    const [, status = '200', retryAfter] = /status=(\d+)(?:&after=(\d+))?/.exec(request.url ?? '') ?? [];
    response.writeHead(Number(status), retryAfter === undefined ? {} : { 'retry-after': retryAfter }).end();
  });
  worker = await startWorker({
    settings: readSettings({
      FORKLINE_DATA_FOLDER: folder,
      FORKLINE_WORKER_PORT: '0',
      FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: receiver.address,
      FORKLINE_PUBLIC_URL: 'https://forkline.example/',
      FORKLINE_LOG_LEVEL: 'debug',
      FORKLINE_CLOSE_GRACE_MS: '5000',
    }),
    databaseUrl: test.url,
    logger: createLogger({
      level: 'debug',
      base: { service: 'worker' },
      destination: { write: (line: string) => void (log += line) },
    }),
  });
});

afterAll(async () => {
  expect(await worker.close()).toBe('drained');
  await receiver.close();
  await test.drop();
  await rm(folder, { recursive: true, force: true });
});

async function ended(id: DraftId): Promise<StoredDraft> {
  await eventually(
    () => shop.stateOf(id),
    (state) => ENDED.includes(state),
    30_000,
  );
  const draft = await new DraftRepository().find(test.database.session, shop.id, id);
  if (draft === undefined) throw new Error('absent');
  return draft;
}

const deliveriesOf = (id: DraftId) =>
  test.query(
    `SELECT d.*, e.enabled, (SELECT count(*) FROM delivery_attempts a WHERE a.delivery_id = d.id)::int AS recorded
     FROM deliveries d JOIN webhook_endpoints e ON e.id = d.endpoint_id WHERE subject_id = $1`,
    [id],
  );

describe('a draft that was accepted', () => {
  it('becomes ready, with the files the request asks for, byte for byte', async () => {
    const request = await exampleRequest();
    const id = await shop.order(request);
    const draft = await ended(id);
    expect(draft).toMatchObject({ state: 'ready', attempt: 1, engineVersion: engineVersion() });
    const expected = await produceDeliverables(request, engineVersion(), () => undefined);
    const files = await new DraftRepository().files(test.database.session, shop.id, id);
    expect(files.map(({ name, sha256 }) => [name, sha256])).toEqual(
      expected.files.map(({ name, sha256 }) => [name, sha256]).sort(([a], [b]) => (a < b ? -1 : 1)),
    );
    const store = await openDiskFileStore({ directory: join(folder, 'files'), nowMs: Date.now() });
    for (const { sha256, bytes } of files) {
      const opened = await store.open(sha256);
      opened?.stream.destroy();
      expect(opened?.bytes).toBe(bytes);
    }
  });

  it('is announced to every endpoint that listens, signed, and to no other', async () => {
    const path = (name: string): string => `http://${receiver.address}/${name}`;
    const all = await shop.listen(path('all'));
    await shop.listen(path('failures'), { eventTypes: ['draft.failed'] });
    await shop.listen(path('off'), { enabled: false, disabledReason: 'by hand' });
    const id = await shop.order(await exampleRequest(), 'order 7');
    const draft = await ended(id);
    const [got] = await eventually(
      () => receiver.received.filter(({ body }) => body.includes(id)),
      (messages) => messages.length > 0,
      10_000,
    );
    expect(got.path).toBe('/all');
    const headers = got.headers as Record<string, string>;
    expect(new Webhook(all.secrets[0].secret).verify(got.body, headers)).toEqual({
      type: 'draft.ready',
      timestamp: draft.finishedAt?.toISOString(),
      data: {
        draft: id,
        reference: 'order 7',
        state: 'ready',
        sequence: draft.sequence,
        findingCounts: draft.findingCounts,
        links: {
          self: `https://forkline.example/v1/drafts/${id}`,
          files: `https://forkline.example/v1/drafts/${id}/files`,
        },
      },
    });
    await eventually(
      () => deliveriesOf(id),
      ([row]) => row?.['state'] === 'delivered',
      5_000,
    );
    expect(await deliveriesOf(id)).toHaveLength(1);
    const attempts = `SELECT status_code FROM delivery_attempts a JOIN deliveries d ON d.id = a.delivery_id
      WHERE subject_id = $1`;
    expect(await test.query(attempts, [id])).toEqual([{ status_code: 200 }]);
    await eventually(
      () => test.query('SELECT 1 FROM outbox_messages'),
      (rows) => rows.length === 0,
      5_000,
    );
  });

  it('needs attention when a finding says stop, and its files are there', async () => {
    const id = await shop.order(
      await exampleRequest({ alterations: [{ use: 'drop-crotch', with: { drop: 1 } }] }),
    );
    const draft = await ended(id);
    expect(draft.state).toBe('needs_attention');
    expect(draft.findingCounts.stop).toBeGreaterThan(0);
    expect(await new DraftRepository().files(test.database.session, shop.id, id)).not.toHaveLength(0);
  });

  it('fails with a reason when no release could read it, and is not tried again', async () => {
    const id = await shop.store({ body: { measures: { waistGirth: 740 } }, block: 'from-body' });
    const draft = await ended(id);
    expect(draft).toMatchObject({ state: 'failed', attempt: 1 });
    expect(draft.errorReason).toMatch(
      /^The stored request is not one this release can read: \/body\S* [A-Z_]+;/,
    );
  });

  it('stays cancelled when it is cancelled first, and leaves no file', async () => {
    const request = await exampleRequest({ dated: '2026-01-01' });
    const id = await shop.order(request);
    const moved = await test.database.unitOfWork.run((tx) =>
      new DraftMoves().cancel(tx, shop.id, id, new Date()),
    );
    // The worker may have been faster; then there is nothing to prove here.
    if (!moved.moved) return;
    await eventually(
      () => test.query('SELECT 1 FROM outbox_messages'),
      (rows) => rows.length === 0,
      10_000,
    );
    expect(await shop.stateOf(id)).toBe('cancelled');
  });
});

describe('a receiver', () => {
  const sentTo = async (query: string): Promise<Record<string, unknown>> => {
    const endpoint = await shop.listen(`http://${receiver.address}/hook?${query}`, {
      eventTypes: ['draft.failed'],
    });
    const id = await shop.store({ broken: newId('draft') });
    const attempted = async () =>
      (await deliveriesOf(id)).filter((row) => row['endpoint_id'] === endpoint.id);
    const [row] = await eventually(attempted, ([found]) => found?.['recorded'] === 1, 10_000);
    await test.query('DELETE FROM webhook_endpoints WHERE id = $1', [endpoint.id]);
    return row;
  };
  const waitMs = (row: Record<string, unknown>): number =>
    (row['next_attempt_at'] as Date).getTime() - Date.now();

  it('that answers 410 is called no more', async () => {
    expect(await sentTo('status=410')).toMatchObject({ state: 'failed', enabled: false });
  });

  it('that answers 429 is left alone for as long as it asks', async () => {
    const row = await sentTo('status=429&after=120');
    expect(row).toMatchObject({ state: 'pending', enabled: true });
    expect(waitMs(row)).toBeGreaterThan(110_000);
  });

  it.each(['status=500', 'status=301'])(
    'that answers %s is tried again after five seconds',
    async (query) => {
      const row = await sentTo(query);
      expect(row['state']).toBe('pending');
      expect(waitMs(row)).toBeLessThan(5_600);
    },
  );

  it.each(['http://127.0.0.1:1/hook', 'https://[::ffff:10.0.0.1]/', 'https://2130706433/'])(
    'at the private address %s is never called, and its owner can see why',
    async (url) => {
      const endpoint = await shop.listen(url, { eventTypes: ['draft.failed'] });
      const id = await shop.store({ broken: newId('draft') });
      const errors = () =>
        test.query(
          `SELECT error FROM delivery_attempts a JOIN deliveries d ON d.id = a.delivery_id
           WHERE d.subject_id = $1 AND d.endpoint_id = $2`,
          [id, endpoint.id],
        );
      const [first] = await eventually(errors, (found) => found.length > 0, 15_000);
      expect(first).toEqual({ error: 'RECEIVER_REFUSED' });
      await test.query('DELETE FROM webhook_endpoints WHERE id = $1', [endpoint.id]);
    },
  );

  it('that recovers gets the message under the same id', async () => {
    const before = receiver.received.length;
    const endpoint = await shop.listen(`http://${receiver.address}/retried?status=500`, {
      eventTypes: ['draft.failed'],
    });
    const id = await shop.store({ broken: 'once more' });
    const got = () =>
      receiver.received
        .slice(before)
        .filter(({ body, path }) => path.startsWith('/retried') && body.includes(id));
    await eventually(got, (messages) => messages.length === 1, 10_000);
    await test.query(`UPDATE webhook_endpoints SET url = replace(url, '500', '200') WHERE id = $1`, [
      endpoint.id,
    ]);
    const [first, second] = await eventually(got, (messages) => messages.length === 2, 15_000);
    expect(second.headers['webhook-id']).toBe(first.headers['webhook-id']);
    expect(second.body).toBe(first.body);
    const row = async () => (await deliveriesOf(id)).find((found) => found['endpoint_id'] === endpoint.id);
    await eventually(row, (found) => found?.['state'] === 'delivered' && found['attempt'] === 2, 5_000);
  });
});

describe('a queue that has lost everything', () => {
  it('is filled again from the rows', async () => {
    const id = await shop.order(await exampleRequest({ outputs: [] }));
    const elsewhere = await shop.order(await exampleRequest({ outputs: [] }));
    await Promise.all([ended(id), ended(elsewhere)]);
    // As after an emptied Redis: one draft whose message was sent and is unknown, one that no message asks for.
    const back = `UPDATE drafts SET state = 'accepted', attempt = 0, result = NULL, finished_at = NULL,
      updated_at = now() - interval '1 minute' WHERE id = $1`;
    await test.query('DELETE FROM draft_files WHERE draft_id = ANY($1)', [[id, elsewhere]]);
    for (const lost of [id, elsewhere]) await test.query(back, [lost]);
    await test.query(
      `INSERT INTO outbox_messages (id, shop_id, topic, payload, created_at, sent_at)
       VALUES ($1, $2, 'produce-draft', $3, now(), now() - interval '1 minute')`,
      [newId('outboxMessage'), shop.id, { version: 1, draftId: id }],
    );
    const states = async () => [await shop.stateOf(id), await shop.stateOf(elsewhere)];
    await eventually(states, (found) => found.every((state) => state === 'ready'), 30_000);
  });
});

describe('whoever looks after the worker', () => {
  it('sees that it is alive, ready and what it did', async () => {
    const at = (path: string) => fetch(`http://127.0.0.1:${worker.port}${path}`);
    expect((await at('/healthz')).status).toBe(200);
    expect((await at('/readyz')).status).toBe(200);
    const metrics = await (await at('/metrics')).text();
    expect(metrics).toMatch(/forkline_drafts\{state="ready"\} [2-9]/);
    expect(metrics).toMatch(/forkline_job_duration_seconds_count\{job="produce-draft",outcome="done"\} \d/);
    expect(metrics).toMatch(/forkline_webhook_deliveries_total\{outcome="delivered"\} \d/);
    expect(metrics).not.toMatch(PLANTED);
  });

  it('finds no measure in the log or in a message, and nothing unforeseen', () => {
    expect(log).toContain('"event":"draft.ready"');
    const lines = log
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    for (const { time: _time, durationMs: _duration, port: _port, ...line } of lines)
      expect(JSON.stringify(line)).not.toMatch(PLANTED);
    expect(lines.filter(({ event, code }) => event === 'event.unnamed' || code === 'UNFORESEEN')).toEqual([]);
    for (const { body } of receiver.received) expect(body).not.toMatch(PLANTED);
  });
});
