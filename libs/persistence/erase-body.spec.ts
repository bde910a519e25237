import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import {
  BlockRepository,
  DraftMoves,
  eraseBody,
  IdempotencyRepository,
  type BodyId,
  type DraftId,
  type JsonObject,
  type ShopId,
} from '#persistence';
import {
  aBlock,
  BLOCK_CONTENT,
  later,
  newId,
  NOW,
  storeBody,
  storeDraft,
  storeShop,
} from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';

/** A measure that nothing else in the database could hold by chance. */
const MARK = 987_654.321;
const SHARED = 'c'.repeat(64);

let test: TestDatabase;
let shopId: ShopId;

beforeAll(async () => {
  test = await createTestDatabase();
  shopId = await storeShop(test.database.session);
}, 60_000);

afterAll(() => test.drop());

const MEASURES = { waistGirth: MARK };
const erase = (id: BodyId, shop = shopId) =>
  test.database.unitOfWork.run((tx) =>
    eraseBody(tx, shop, id, { auditId: newId('auditEntry'), now: later(1) }),
  );

async function finishedDraft(
  bodyId: BodyId,
  sha256: string,
  measures: JsonObject = MEASURES,
): Promise<DraftId> {
  const id = await storeDraft(test.database.session, shopId, { bodyId, request: { body: { ...measures } } });
  const files = [
    { name: 'draft.json', sha256, bytes: 10, mediaType: 'application/json' },
    { name: 'sheet.pdf', sha256: SHARED, bytes: 10, mediaType: 'application/pdf' },
  ];
  const findingCounts = { info: 0, warning: 0, stop: 0 };
  await test.database.unitOfWork.run(async (tx) => {
    const moves = new DraftMoves();
    await moves.begin(tx, shopId, id, { afterAttempt: 0, engineVersion: '1', now: NOW });
    await moves.finish(tx, shopId, id, 1, {
      state: 'ready',
      result: { measures },
      findingCounts,
      files,
      now: NOW,
    });
  });
  return id;
}

/** Every row of every table as text: what a search of a backup would find. */
async function wholeDatabase(): Promise<string> {
  const tables = await test.query(
    `select table_name as name from information_schema.tables where table_schema = 'public'`,
  );
  const texts = await Promise.all(
    tables.map(({ name }) => test.query(`select to_jsonb(t)::text as row from "${String(name)}" t`)),
  );
  return JSON.stringify(texts);
}

describe('eraseBody', () => {
  it('leaves no measure of the body anywhere, and one audit entry', async () => {
    const { session, unitOfWork } = test.database;
    const id = await storeBody(session, shopId, { measures: MEASURES });
    const drafts = [await finishedDraft(id, 'e'.repeat(64)), await finishedDraft(id, 'f'.repeat(64))];
    const kept = await finishedDraft(await storeBody(session, shopId), 'd'.repeat(64), {});
    const own = aBlock({ bodyId: id });
    await unitOfWork.run((tx) =>
      new BlockRepository().insert(tx, shopId, own, { ...BLOCK_CONTENT, waist: MARK }),
    );
    for (const subject of [id, drafts[0] ?? '']) {
      const claim = {
        key: subject,
        fingerprint: 'f',
        token: 't',
        now: NOW,
        claimedUntil: later(9),
        expiresAt: later(99),
      };
      await new IdempotencyRepository().claim(session, shopId, claim);
      await new IdempotencyRepository().finish(
        session,
        shopId,
        claim,
        { status: 201, body: MEASURES },
        subject,
      );
    }
    expect(await wholeDatabase()).toContain(String(MARK));

    const erasure = await erase(id);
    expect(erasure?.draftCount).toBe(2);
    expect([...(erasure?.orphanedFiles ?? [])].sort()).toEqual(['e'.repeat(64), 'f'.repeat(64)]);
    const after = await wholeDatabase();
    for (const gone of [String(MARK), ...drafts, own.id, 'e'.repeat(64)]) {
      expect(after).not.toContain(gone);
    }
    expect(after).toContain(kept);
    const audited = await test.query(
      `select action, details, actor_id from audit_entries where subject_id = $1`,
      [id],
    );
    expect(audited).toEqual([
      { action: 'body.erased', details: { draftCount: 2, fileCount: 3 }, actor_id: null },
    ]);
  });

  it("does not erase another shop's body, or one that is gone", async () => {
    const id = await storeBody(test.database.session, shopId);
    expect(await erase(id, await storeShop(test.database.session))).toBeUndefined();
    expect(await erase(id)).toEqual({ draftCount: 0, orphanedFiles: [] });
    expect(await erase(id)).toBeUndefined();
  });

  it('also erases the answer of a request that was making a draft when it began', async () => {
    const { session, unitOfWork } = test.database;
    const id = await storeBody(session, shopId, { measures: MEASURES });
    const claim = {
      key: id,
      fingerprint: 'f',
      token: 't',
      now: NOW,
      claimedUntil: later(9),
      expiresAt: later(99),
    };
    await new IdempotencyRepository().claim(session, shopId, claim);
    let erasing: ReturnType<typeof erase> | undefined;
    await unitOfWork.run(async (tx) => {
      const draft = await storeDraft(tx, shopId, { bodyId: id });
      await new IdempotencyRepository().finish(tx, shopId, claim, { status: 202, body: MEASURES }, draft);
      erasing = erase(id);
      await new Promise((resolve) => setTimeout(resolve, 250)); // so that it has begun
    });
    expect(await erasing).toEqual({ draftCount: 1, orphanedFiles: [] });
    expect(await wholeDatabase()).not.toContain(String(MARK));
  });

  it('leaves no draft behind that is made while it erases', async () => {
    for (let round = 0; round < 5; round++) {
      const id = await storeBody(test.database.session, shopId);
      const making = Array.from({ length: 6 }, () =>
        storeDraft(test.database.session, shopId, { bodyId: id }),
      );
      const results = await Promise.allSettled([erase(id), ...making]);
      expect(results[0]?.status).toBe('fulfilled');
      for (const result of results) {
        if (result.status === 'rejected') expect(result.reason).toMatchObject({ code: 'REFERENCE_MISSING' });
      }
      expect(await test.query('select 1 from drafts where body_id = $1', [id])).toEqual([]);
    }
  });
});

describe('removing a block', () => {
  it('keeps the drafts made from it', async () => {
    const block = aBlock();
    await test.database.unitOfWork.run((tx) =>
      new BlockRepository().insert(tx, shopId, block, BLOCK_CONTENT),
    );
    const draft = await storeDraft(test.database.session, shopId, { blockId: block.id });
    await new BlockRepository().remove(test.database.session, shopId, block.id);
    expect(await test.query('select shop_id, block_id from drafts where id = $1', [draft])).toEqual([
      { shop_id: shopId, block_id: null },
    ]);
  });
});
