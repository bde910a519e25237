import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { createHash } from 'node:crypto';
import { mkdtemp, rm, utimes } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createLogger } from '#observability';
import {
  CheckMoves,
  CheckRepository,
  DraftMoves,
  DraftRepository,
  ExportMoves,
  ExportRepository,
  IdempotencyRepository,
  MarkerMoves,
  MarkerRepository,
  type DraftId,
  type ShopId,
} from '#persistence';
import { openFileStore, type FileStore } from '#storage';
import { newId, storeBody, storeDraft, storeEndpoint, storeShop } from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';
import { eraseExpired, removeOrphans, type RetentionParts } from './retention.js';

const DAY_MS = 24 * 3_600_000;
const NOW = new Date('2026-06-01T12:00:00.000Z');
const daysAgo = (days: number): Date => new Date(NOW.getTime() - days * DAY_MS);
const RETENTION_DAYS = 90;

let test: TestDatabase;
let shopId: ShopId;
let folder: string;
let files: FileStore;
let parts: RetentionParts;

beforeAll(async () => {
  test = await createTestDatabase();
  shopId = await storeShop(test.database.session);
  folder = await mkdtemp(join(tmpdir(), 'forkline-retention-'));
  files = await openFileStore({ kind: 'folder', directory: folder }, NOW.getTime());
  parts = {
    database: test.database,
    files,
    idempotency: new IdempotencyRepository(),
    logger: createLogger({ level: 'silent', base: {} }),
    newId,
    now: () => NOW,
  };
}, 60_000);

afterAll(async () => {
  await test.drop();
  await rm(folder, { recursive: true });
});

async function printOf(draftId: DraftId, content: string): Promise<string> {
  const { session, unitOfWork } = test.database;
  const stored = await files.put(Buffer.from(content));
  const id = newId('export');
  await new ExportRepository().insert(session, shopId, {
    id,
    draftId,
    request: {},
    requestText: content,
    createdAt: NOW,
  });
  await unitOfWork.run(async (tx) => {
    const moves = new ExportMoves();
    await moves.begin(tx, shopId, id, { afterAttempt: 0, engineVersion: '1', now: NOW });
    const plan = { pages: 1, pageWidthMm: 210, pageHeightMm: 297 };
    const file = { name: 'tiles-a4.pdf', mediaType: 'application/pdf', ...stored };
    await moves.finish(tx, shopId, id, 1, { plan, file, now: NOW });
  });
  return stored.sha256;
}

async function markerOf(draftIds: readonly DraftId[], content: string): Promise<string> {
  const { unitOfWork } = test.database;
  const stored = await files.put(Buffer.from(content));
  const [id, apiKeyId] = [newId('marker'), newId('apiKey')];
  await test.query(
    `INSERT INTO api_keys (id, shop_id, label, prefix, secret_hash, created_at) VALUES ($1, $2, 'l', 'p', $3, now())`,
    [apiKeyId, shopId, Buffer.from(stored.sha256, 'hex')],
  );
  await unitOfWork.run(async (tx) => {
    await new MarkerRepository().insert(tx, shopId, { id, apiKeyId, request: {}, draftIds, createdAt: NOW });
    const moves = new MarkerMoves();
    await moves.begin(tx, shopId, id, { afterAttempt: 0, engineVersion: '1', now: NOW });
    await moves.finish(tx, shopId, id, 1, {
      state: 'ready',
      result: {},
      lengthMm: 1,
      findingCounts: { info: 0, warning: 0, stop: 0 },
      files: [{ name: 'marker.json', mediaType: 'application/json', ...stored }],
      now: NOW,
    });
  });
  return stored.sha256;
}

/** A check that was sent then: the file that came with it, and, once it has ended, the files it came to. */
async function checkOf(at: Date, content: string, isEnded = true) {
  const { unitOfWork } = test.database;
  const [id, apiKeyId] = [newId('check'), newId('apiKey')];
  const [sent, report] = await Promise.all(
    [`pattern ${content}`, `report ${content}`].map((text) => files.put(Buffer.from(text))),
  );
  await test.query(
    `INSERT INTO api_keys (id, shop_id, label, prefix, secret_hash, created_at) VALUES ($1, $2, 'l', 'p', $3, now())`,
    [apiKeyId, shopId, createHash('sha256').update(id).digest()],
  );
  await unitOfWork.run(async (tx) => {
    const original = { name: 'original.dxf', mediaType: 'image/vnd.dxf', ...sent };
    const order = { id, apiKeyId, styleId: 'style-77', request: {}, original, createdAt: at };
    await new CheckRepository().insert(tx, shopId, order);
    if (!isEnded) return;
    const moves = new CheckMoves();
    await moves.begin(tx, shopId, id, { afterAttempt: 0, engineVersion: '1', now: at });
    await moves.finish(tx, shopId, id, 1, {
      state: 'needs_attention',
      result: {},
      findingCounts: { info: 0, warning: 0, stop: 1 },
      files: [{ name: 'truing.json', mediaType: 'application/json', ...report }],
      now: at,
    });
  });
  return { id, hashes: [sent.sha256, report.sha256] };
}

/** A draft that ended then, with one file of its own and one that it shares. */
async function endedDraft(
  at: Date,
  contents: readonly string[],
  bodyId?: Awaited<ReturnType<typeof storeBody>>,
) {
  const { session, unitOfWork } = test.database;
  const id = await storeDraft(session, shopId, {
    createdAt: at,
    ...(bodyId === undefined ? {} : { bodyId }),
  });
  const stored = await Promise.all(contents.map((content) => files.put(Buffer.from(content))));
  await unitOfWork.run(async (tx) => {
    const moves = new DraftMoves();
    await moves.begin(tx, shopId, id, { afterAttempt: 0, engineVersion: '1', now: at });
    await moves.finish(tx, shopId, id, 1, {
      state: 'ready',
      result: {},
      findingCounts: { info: 0, warning: 0, stop: 0 },
      files: stored.map(({ sha256, bytes }, i) => ({
        name: `file-${i}.json`,
        sha256,
        bytes,
        mediaType: 'application/json',
      })),
      now: at,
    });
  });
  return { id, hashes: stored.map(({ sha256 }) => sha256) };
}

const isThere = async (id: DraftId): Promise<boolean> =>
  (await new DraftRepository().find(test.database.session, shopId, id)) !== undefined;
const bodyIds = async (): Promise<unknown[]> =>
  (await test.query('SELECT id FROM bodies')).map(({ id }) => id);

async function untilIdle(): Promise<void> {
  for (let round = 0; round < 10; round++) if ((await eraseExpired(parts, RETENTION_DAYS)) === 'idle') return;
  throw new Error('retention found more and more to erase');
}

describe('eraseExpired', () => {
  it('erases drafts that ended too long ago, with the files that only they have', async () => {
    const old = await endedDraft(daysAgo(91), ['only the old one', 'both']);
    const young = await endedDraft(daysAgo(89), ['only the young one', 'both']);
    await test.query(
      `INSERT INTO idempotency_keys (shop_id, key, fingerprint, state, claim_token, claimed_until, subject_id,
         response_status, created_at, expires_at)
       VALUES ($1, 'of-old', 'f', 'finished', 't', $2, $3, 202, $2, $4)`,
      [shopId, daysAgo(91), old.id, new Date(NOW.getTime() + DAY_MS)],
    );
    await untilIdle();
    expect([await isThere(old.id), await isThere(young.id)]).toEqual([false, true]);
    const kept = await Promise.all([...old.hashes, ...young.hashes].map((hash) => files.has(hash)));
    expect(kept).toEqual([false, true, true, true]);
    expect(await test.query(`SELECT key FROM idempotency_keys WHERE key = 'of-old'`)).toEqual([]);
    const audit = await test.query(`SELECT details FROM audit_entries WHERE action = 'drafts.expired'`);
    expect(audit).toEqual([{ details: { draftCount: 1 } }]);
  });

  it('erases the prints of an old draft and the markers it lies on, with their files', async () => {
    const [old, young] = [await endedDraft(daysAgo(91), []), await endedDraft(daysAgo(1), [])];
    const printed = await printOf(old.id, 'a print of the old one');
    const laid = await markerOf([old.id, young.id], 'a marker of both');
    const kept = [
      await printOf(young.id, 'a print of the young one'),
      await markerOf([young.id], 'a marker of the young one'),
    ];
    await untilIdle();
    expect(await Promise.all([printed, laid, ...kept].map((hash) => files.has(hash)))).toEqual([
      false,
      false,
      true,
      true,
    ]);
    expect(await test.query('SELECT 1 FROM markers')).toHaveLength(1);
    expect(await isThere(young.id)).toBe(true);
  });

  it('erases checks that ended too long ago with the patterns that were sent, unless another check is of the same', async () => {
    const old = await checkOf(daysAgo(91), 'of the old one');
    const [twin, young] = [await checkOf(daysAgo(91), 'of both'), await checkOf(daysAgo(89), 'of both but')];
    const same = await checkOf(daysAgo(89), 'of both', false);
    const waiting = await checkOf(daysAgo(400), 'that waits', false);
    await test.query(
      `INSERT INTO idempotency_keys (shop_id, key, fingerprint, state, claim_token, claimed_until, subject_id,
         response_status, created_at, expires_at)
       VALUES ($1, 'of-old-check', 'f', 'finished', 't', $2, $3, 202, $2, $4)`,
      [shopId, daysAgo(91), old.id, new Date(NOW.getTime() + DAY_MS)],
    );
    await untilIdle();
    const left = (await test.query('SELECT id FROM checks')).map(({ id }) => id);
    expect(left.sort()).toEqual([young.id, same.id, waiting.id].sort());
    const there = async (hashes: readonly string[]) => Promise.all(hashes.map((hash) => files.has(hash)));
    expect(await there(old.hashes)).toEqual([false, false]);
    // The pattern of the twin is also that of one that has not ended.
    expect(await there(twin.hashes)).toEqual([true, false]);
    expect(await there([...young.hashes, waiting.hashes[0]])).toEqual([true, true, true]);
    const ofErased = await test.query('SELECT 1 FROM check_files WHERE check_id = ANY($1)', [
      [old.id, twin.id],
    ]);
    expect(ofErased).toEqual([]);
    expect(await test.query(`SELECT key FROM idempotency_keys WHERE key = 'of-old-check'`)).toEqual([]);
    const audit = await test.query(`SELECT details FROM audit_entries WHERE action = 'checks.expired'`);
    expect(audit).toEqual([{ details: { checkCount: 2 } }]);
  });

  it('leaves a draft that has not ended, however old it is', async () => {
    const waiting = await storeDraft(test.database.session, shopId, { createdAt: daysAgo(400) });
    await untilIdle();
    expect(await isThere(waiting)).toBe(true);
    await test.query('DELETE FROM drafts WHERE id = $1', [waiting]);
  });

  it('erases more than one round holds', async () => {
    for (let i = 0; i < 130; i++) await endedDraft(daysAgo(100 + i), []);
    expect(await eraseExpired(parts, RETENTION_DAYS)).toBe('more');
    await untilIdle();
    expect(await test.query('SELECT 1 FROM drafts WHERE updated_at < $1', [daysAgo(90)])).toEqual([]);
  });

  it('erases a body whose own time has come, with its drafts, and one that no draft uses; no other', async () => {
    const { session } = test.database;
    const due = await storeBody(session, shopId, { eraseAfter: daysAgo(1), createdAt: NOW, updatedAt: NOW });
    const ofDue = await endedDraft(daysAgo(2), ['of a body that is due'], due);
    const times = { createdAt: daysAgo(200), updatedAt: daysAgo(200) };
    const unused = await storeBody(session, shopId, times);
    const used = await storeBody(session, shopId, times);
    await endedDraft(daysAgo(5), ['of a body in use'], used);
    const recent = await storeBody(session, shopId, { createdAt: daysAgo(200), updatedAt: daysAgo(3) });
    const later = await storeBody(session, shopId, {
      eraseAfter: new Date(NOW.getTime() + DAY_MS),
      createdAt: NOW,
      updatedAt: NOW,
    });
    await untilIdle();
    const left = await bodyIds();
    expect([due, unused, used, recent, later].filter((id) => left.includes(id))).toEqual([
      used,
      recent,
      later,
    ]);
    expect(await isThere(ofDue.id)).toBe(false);
    expect(await files.has(ofDue.hashes[0])).toBe(false);
    const audit = await test.query(`SELECT subject_id FROM audit_entries WHERE action = 'body.erased'`);
    expect(audit.map(({ subject_id: id }) => id).sort()).toEqual([due, unused].sort());
  });

  it('forgets answers whose time is over, and deliveries that ended too long ago', async () => {
    const insert = `INSERT INTO idempotency_keys (shop_id, key, fingerprint, state, claim_token, claimed_until,
      created_at, expires_at) VALUES ($1, $2, 'f', 'in-progress', 't', $3, $3, $4)`;
    await test.query(insert, [shopId, 'over', daysAgo(2), daysAgo(1)]);
    await test.query(insert, [shopId, 'holds', daysAgo(2), new Date(NOW.getTime() + DAY_MS)]);
    const endpoint = (await storeEndpoint(test.database.session, shopId)).id;
    for (const [webhook, days] of [
      ['evt_old', 91],
      ['evt_young', 89],
    ] as const)
      await test.query(
        `INSERT INTO deliveries (id, shop_id, endpoint_id, webhook_id, event_type, subject_id, payload, state, attempt,
           created_at, finished_at) VALUES ($1, $2, $3, $4, 'draft.ready', 'drf_x', '{}', 'delivered', 1, $5, $5)`,
        [newId('delivery'), shopId, endpoint, webhook, daysAgo(days)],
      );
    await untilIdle();
    expect(await test.query('SELECT key FROM idempotency_keys')).toEqual([{ key: 'holds' }]);
    expect(await test.query('SELECT webhook_id FROM deliveries')).toEqual([{ webhook_id: 'evt_young' }]);
  });
});

describe('removeOrphans', () => {
  it('removes files that nothing refers to, but none that may still be on its way to a draft', async () => {
    const kept = await endedDraft(daysAgo(3), ['of a draft, long on the disk']);
    const held = [
      await printOf(kept.id, 'a print, long on the disk'),
      await markerOf([kept.id], 'a marker, long on it'),
    ];
    const orphan = (await files.put(Buffer.from('left by a killed worker'))).sha256;
    const fresh = (await files.put(Buffer.from('put a moment ago'))).sha256;
    for (const [hash, at] of [
      [kept.hashes[0], daysAgo(3)],
      ...held.map((hash) => [hash, daysAgo(3)] as const),
      [orphan, daysAgo(3)],
      [fresh, NOW],
    ] as const)
      await utimes(join(folder, hash.slice(0, 2), hash.slice(2)), at, at);
    await removeOrphans(parts);
    const all = [kept.hashes[0], ...held, orphan, fresh];
    expect(await Promise.all(all.map((hash) => files.has(hash)))).toEqual([true, true, true, false, true]);
  });
});
