import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { DraftMoves, watchChanges, type Change, type ShopId } from '#persistence';
import { NOW, storeDraft, storeShop } from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';

const moves = new DraftMoves();

let test: TestDatabase;
let shopId: ShopId;

beforeAll(async () => {
  test = await createTestDatabase();
  shopId = await storeShop(test.database.session);
}, 60_000);

afterAll(() => test.drop());

/** Waits for what must come; a test that waits too long has failed. */
async function until(isTrue: () => boolean): Promise<void> {
  const deadlineMs = performance.now() + 10_000;
  while (!isTrue()) {
    if (performance.now() > deadlineMs) throw new Error('did not come');
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
}

describe('watchChanges', () => {
  it('tells of new drafts, moves and progress when they are committed, and not of what was undone', async () => {
    const changes: Change[] = [];
    let gaps = 0;
    const watch = watchChanges({
      url: test.url,
      onChange: (change) => changes.push(change),
      onGap: () => gaps++,
    });
    await until(() => gaps === 1);
    const draftId = await storeDraft(test.database.session, shopId);
    await until(() => changes.length === 1);
    const undone = test.database.unitOfWork.run(async (tx) => {
      await moves.cancel(tx, shopId, draftId, NOW);
      throw new Error('power cut');
    });
    await expect(undone).rejects.toThrow('power cut');
    await test.database.unitOfWork.run((tx) =>
      moves.begin(tx, shopId, draftId, { afterAttempt: 0, engineVersion: '1', now: NOW }),
    );
    await moves.report(test.database.session, shopId, draftId, 1, {
      stage: 'truing',
      fraction: 0.3,
      now: NOW,
    });
    await until(() => changes.length === 3);
    await watch.close();
    expect(changes).toEqual([1, 2, 3].map(() => ({ shopId, id: draftId })));
    await storeDraft(test.database.session, shopId);
    expect(changes).toHaveLength(3);
  }, 20_000);

  it('comes back after its connection was cut, and says that something may have been missed', async () => {
    const changes: Change[] = [];
    let gaps = 0;
    const watch = watchChanges({
      url: test.url,
      onChange: (change) => changes.push(change),
      onGap: () => gaps++,
    });
    await until(() => gaps === 1);
    await test.query(`select pg_terminate_backend(pid) from pg_stat_activity
      where datname = current_database() and query = 'LISTEN draft_changed'`);
    await until(() => gaps === 2);
    await storeDraft(test.database.session, shopId);
    await until(() => changes.length === 1);
    await watch.close();
  }, 20_000);

  it('can be closed while it cannot connect', async () => {
    const never = (): never => {
      throw new Error('heard something from nowhere');
    };
    const watch = watchChanges({ url: 'postgresql://a:b@127.0.0.1:1/c', onChange: never, onGap: never });
    await new Promise((resolve) => setTimeout(resolve, 400));
    await watch.close();
  });
});
