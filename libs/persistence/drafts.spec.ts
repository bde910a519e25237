import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import {
  DraftMoves,
  DraftRepository,
  type DraftFile,
  type DraftId,
  type Moved,
  type ShopId,
} from '#persistence';
import {
  aDraft,
  later,
  newId,
  NOW,
  storeBody,
  storeDraft,
  storeShop,
} from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';

const drafts = new DraftRepository();
const moves = new DraftMoves();
const ENGINE = '1.0.0';
const OUTCOME = {
  state: 'ready',
  result: { engine: ENGINE, findings: [] },
  findingCounts: { info: 2, warning: 1, stop: 0 },
  files: [file('draft.json', 'a'), file('sheet.pdf', 'b')],
  now: later(9_000),
} as const;

let test: TestDatabase;
let shopId: ShopId;
let otherShopId: ShopId;

beforeAll(async () => {
  test = await createTestDatabase(20);
  shopId = await storeShop(test.database.session);
  otherShopId = await storeShop(test.database.session);
}, 60_000);

afterAll(() => test.drop());

function file(name: string, digit: string): DraftFile {
  return { name, sha256: digit.repeat(64), bytes: 5_000_000_000, mediaType: 'application/json' };
}

const accepted = (): Promise<DraftId> => storeDraft(test.database.session, shopId);

function begin(id: DraftId, afterAttempt = 0, shop = shopId): Promise<Moved> {
  const beginning = { afterAttempt, engineVersion: ENGINE, now: later(1_000) };
  return test.database.unitOfWork.run((tx) => moves.begin(tx, shop, id, beginning));
}

const finish = (id: DraftId, attempt: number): Promise<Moved> =>
  test.database.unitOfWork.run((tx) => moves.finish(tx, shopId, id, attempt, OUTCOME));
const fail = (id: DraftId, attempt: number): Promise<Moved> =>
  test.database.unitOfWork.run((tx) =>
    moves.fail(tx, shopId, id, attempt, { reason: 'engine fault', now: later(9_000) }),
  );
const cancel = (id: DraftId): Promise<Moved> =>
  test.database.unitOfWork.run((tx) => moves.cancel(tx, shopId, id, later(9_000)));

const stateOf = async (id: DraftId): Promise<unknown> =>
  (await drafts.find(test.database.session, shopId, id))?.state;

describe('a draft', () => {
  it('goes from accepted over working to ready, with result and files', async () => {
    const { session } = test.database;
    const draft = aDraft({ reference: 'order 17 / line 2' });
    const inserted = await drafts.insert(session, shopId, draft);
    expect(inserted).toEqual({
      id: draft.id,
      state: 'accepted',
      attempt: 0,
      sequence: 1,
      findingCounts: { info: 0, warning: 0, stop: 0 },
      reference: 'order 17 / line 2',
      requestHash: draft.requestHash,
      createdAt: NOW,
      updatedAt: NOW,
    });
    expect(await begin(draft.id)).toMatchObject({
      moved: true,
      work: { state: 'working', attempt: 1, sequence: 2 },
    });
    expect(await drafts.findResult(session, shopId, draft.id)).toBeUndefined();
    const halfway = { stage: 'truing', fraction: 0.5, now: later(2_000) };
    expect(await moves.report(session, shopId, draft.id, 1, halfway)).toBe(true);
    expect(await drafts.find(session, shopId, draft.id)).toMatchObject({
      progress: { stage: 'truing', fraction: 0.5 },
      sequence: 3,
      startedAt: later(1_000),
      updatedAt: later(2_000),
    });
    const done = await finish(draft.id, 1);
    expect(done).toMatchObject({
      moved: true,
      work: { state: 'ready', sequence: 4, engineVersion: ENGINE },
    });
    expect(await drafts.findRequest(session, shopId, draft.id)).toEqual(draft.request);
    expect(await drafts.findResult(session, shopId, draft.id)).toEqual(OUTCOME.result);
    expect(await drafts.files(session, shopId, draft.id)).toEqual(OUTCOME.files);
    expect(await drafts.findFile(session, shopId, draft.id, 'sheet.pdf')).toEqual(OUTCOME.files[1]);
    expect(await drafts.findFile(session, shopId, draft.id, 'plot.plt')).toBeUndefined();
  });

  it('fails with a reason', async () => {
    const id = await accepted();
    await begin(id);
    expect(await fail(id, 1)).toMatchObject({
      moved: true,
      work: { state: 'failed', errorReason: 'engine fault' },
    });
  });

  it.each([
    ['ready', (id: DraftId) => finish(id, 1)],
    ['failed', (id: DraftId) => fail(id, 1)],
    ['cancelled', cancel],
  ])('stays %s for ever', async (state, end) => {
    const id = await accepted();
    await begin(id);
    await end(id);
    const still = { moved: false, found: { state, attempt: 1 } };
    expect(await begin(id, 1)).toEqual(still);
    expect(await finish(id, 1)).toEqual(still);
    expect(await fail(id, 1)).toEqual(still);
    expect(await cancel(id)).toEqual(still);
    expect(
      await moves.report(test.database.session, shopId, id, 1, { stage: 's', fraction: 0.1, now: NOW }),
    ).toBe(false);
    expect(await stateOf(id)).toBe(state);
  });

  it('is not finished before work began', async () => {
    const id = await accepted();
    expect(await finish(id, 0)).toEqual({ moved: false, found: { state: 'accepted', attempt: 0 } });
    expect(await drafts.files(test.database.session, shopId, id)).toEqual([]);
  });

  it('is begun by exactly one of ten that saw it accepted', async () => {
    const id = await accepted();
    const results = await Promise.all(Array.from({ length: 10 }, () => begin(id)));
    expect(results.filter(({ moved }) => moved)).toHaveLength(1);
    expect((await drafts.find(test.database.session, shopId, id))?.attempt).toBe(1);
  });

  it('ends one way when ten try to end it in three', async () => {
    const id = await accepted();
    await begin(id);
    const ends = Array.from(
      { length: 10 },
      (_, i) => [() => finish(id, 1), () => fail(id, 1), () => cancel(id)][i % 3],
    );
    const results = await Promise.all(ends.map((end) => end?.()));
    const [won, ...others] = results.filter((result) => result?.moved === true);
    expect(others).toEqual([]);
    expect(won).toMatchObject({ work: { state: await stateOf(id), sequence: 3 } });
    const files = await test.query('select count(*)::int as n from draft_files where draft_id = $1', [id]);
    expect(files[0]?.['n']).toBe((await stateOf(id)) === 'ready' ? 2 : 0);
  });

  it('is taken over from a dead worker, which can change nothing when it comes back', async () => {
    const id = await accepted();
    await begin(id);
    expect(await begin(id, 1)).toMatchObject({ moved: true, work: { state: 'working', attempt: 2 } });
    const late = { stage: 'marker', fraction: 0.9, now: later(5_000) };
    expect(await moves.report(test.database.session, shopId, id, 1, late)).toBe(false);
    expect(await moves.keep(test.database.session, shopId, id, 1, later(6_000))).toBe(false);
    expect(await moves.keep(test.database.session, shopId, id, 2, later(6_000))).toBe(true);
    // Nothing that is shown has changed, so nobody is told.
    expect(await drafts.find(test.database.session, shopId, id)).toMatchObject({
      sequence: 3,
      updatedAt: later(6_000),
    });
    expect(await finish(id, 1)).toEqual({ moved: false, found: { state: 'working', attempt: 2 } });
    expect(await fail(id, 1)).toMatchObject({ moved: false });
    expect(await finish(id, 2)).toMatchObject({ moved: true });
  });

  it("is another shop's and so not there", async () => {
    const { session } = test.database;
    const id = await accepted();
    await begin(id);
    expect(await drafts.find(session, otherShopId, id)).toBeUndefined();
    expect(await drafts.findRequest(session, otherShopId, id)).toBeUndefined();
    expect(await begin(id, 1, otherShopId)).toEqual({ moved: false, found: 'absent' });
    const body = await storeBody(session, otherShopId);
    await expect(storeDraft(session, shopId, { bodyId: body })).rejects.toMatchObject({
      code: 'REFERENCE_MISSING',
    });
  });

  it('moves and leaves its message together, or not at all', async () => {
    const id = await accepted();
    const broken = test.database.unitOfWork.run(async (tx) => {
      await moves.begin(tx, shopId, id, { afterAttempt: 0, engineVersion: ENGINE, now: NOW });
      throw new Error('power cut');
    });
    await expect(broken).rejects.toThrow('power cut');
    expect(await stateOf(id)).toBe('accepted');
  });

  it('is found stalled when nothing has touched it', async () => {
    const id = await accepted();
    await test.query(`update drafts set updated_at = $2 where id = $1`, [id, later(-60_000)]);
    const found = await drafts.stalled(test.database.session, later(-30_000), 10);
    expect(found).toMatchObject([{ shopId, work: { id, state: 'accepted' } }]);
  });
});

describe('pages of drafts', () => {
  it('show every draft once, newest first, while new ones arrive', async () => {
    const { session } = test.database;
    const shop = await storeShop(session);
    const ids: DraftId[] = [];
    for (let i = 0; i < 7; i++) ids.push(await storeDraft(session, shop, { id: newId('draft') }));
    const seen: DraftId[] = [];
    let cursor: string | undefined;
    for (let pages = 0; pages < 10; pages++) {
      const page = await drafts.page(session, shop, { size: 3, cursor });
      seen.push(...page.items.map(({ id }) => id));
      await storeDraft(session, shop);
      cursor = page.next;
      if (cursor === undefined) break;
    }
    expect(seen).toEqual([...ids].reverse());
  });

  it('can be narrowed to an order line, a state or a body', async () => {
    const { session } = test.database;
    const shop = await storeShop(session);
    const bodyId = await storeBody(session, shop);
    const wanted = await storeDraft(session, shop, { bodyId, reference: 'order 9' });
    await storeDraft(session, shop, { reference: 'order 10' });
    for (const filter of [{ reference: 'order 9' }, { bodyId }, { bodyId, state: 'accepted' }] as const) {
      const { items, next } = await drafts.page(session, shop, { size: 1 }, filter);
      expect(items.map(({ id }) => id)).toEqual([wanted]);
      expect(next).toBeUndefined();
    }
    expect((await drafts.page(session, shop, { size: 5 }, { state: 'ready' })).items).toEqual([]);
  });

  it.each([0, 201, 1.5, Number.NaN])('refuse a size of %p', async (size) => {
    const refused = drafts.page(test.database.session, shopId, { size });
    await expect(refused).rejects.toMatchObject({
      code: 'PAGE_SIZE_OUT_OF_RANGE',
      details: { min: 1, max: 200 },
    });
  });

  it.each([
    '',
    'nonsense',
    Buffer.from('{"after":"x"}').toString('base64url'),
    Buffer.from('null').toString('base64url'),
  ])('refuse the cursor %p', async (cursor) => {
    const refused = drafts.page(test.database.session, shopId, { size: 5, cursor });
    await expect(refused).rejects.toMatchObject({ code: 'CURSOR_INVALID' });
  });
});
