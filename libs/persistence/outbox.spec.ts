import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import {
  OutboxRepository,
  type DraftId,
  type OutboxMessageId,
  type OutboxPayload,
  type ShopId,
} from '#persistence';
import { later, newId, NOW, storeShop } from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';

const outbox = new OutboxRepository();

let test: TestDatabase;
let shopId: ShopId;

beforeAll(async () => {
  test = await createTestDatabase(20);
  shopId = await storeShop(test.database.session);
}, 60_000);

afterAll(() => test.drop());
beforeEach(() => test.query('delete from outbox_messages'));

async function leave(count: number): Promise<OutboxMessageId[]> {
  const ids = Array.from({ length: count }, () => newId('outboxMessage'));
  await test.database.unitOfWork.run(async (tx) => {
    for (const id of ids) {
      const payload = { version: 1, draftId: 'drf_1' };
      await outbox.insert(tx, shopId, { id, topic: 'produce-draft', payload, createdAt: NOW });
    }
  });
  return ids;
}

/** Takes and sends as a relay does; `send` runs while the rows are its own. */
async function relayOnce(
  countMax: number,
  send: (id: OutboxMessageId) => Promise<void> | void,
): Promise<number> {
  return test.database.unitOfWork.run(async (tx) => {
    const messages = await outbox.takeUnsent(tx, countMax);
    for (const { id } of messages) await send(id);
    await outbox.markSent(
      tx,
      messages.map(({ id }) => id),
      NOW,
    );
    return messages.length;
  });
}

describe('the outbox', () => {
  it('keeps what was sent until it is done, and sends again what it is told is lost', async () => {
    const { session } = test.database;
    const [done, lost] = await leave(2);
    const asked = () =>
      outbox.askedFor(session, 'produce-draft', 'draftId', ['drf_1' as DraftId, 'drf_2' as DraftId]);
    expect(await outbox.unfinished(session, later(1), 10)).toEqual([]);
    await relayOnce(10, () => undefined);
    expect((await outbox.unfinished(session, later(1), 10)).map(({ id }) => id)).toEqual([done, lost]);
    expect(await outbox.unfinished(session, NOW, 10)).toEqual([]);
    await outbox.remove(session, [done]);
    await outbox.takeBack(session, [lost]);
    expect([...(await asked())]).toEqual(['drf_1']);
    const sent: OutboxMessageId[] = [];
    await relayOnce(10, (id) => void sent.push(id));
    expect(sent).toEqual([lost]);
    await outbox.remove(session, [lost]);
    expect([...(await asked())]).toEqual([]);
  });

  it('gives messages in the order they were left, with what was in them', async () => {
    const ids = await leave(5);
    const taken = await test.database.unitOfWork.run((tx) => outbox.takeUnsent(tx, 3));
    expect(taken.map(({ id }) => id)).toEqual(ids.slice(0, 3));
    const payload = { version: 1, draftId: 'drf_1' };
    expect(taken[0]).toEqual({ id: ids[0], shopId, topic: 'produce-draft', payload, createdAt: NOW });
  });

  it('forgets a message whose transaction failed', async () => {
    const broken = test.database.unitOfWork.run(async (tx) => {
      const payload = { version: 1 };
      await outbox.insert(tx, shopId, { id: newId('outboxMessage'), topic: 't', payload, createdAt: NOW });
      throw new Error('power cut');
    });
    await expect(broken).rejects.toThrow('power cut');
    expect(await outbox.backlog(test.database.session)).toEqual({ count: 0 });
  });

  it('sends a message again whose relay died before it was marked', async () => {
    const [id] = await leave(1);
    const died = relayOnce(10, () => Promise.reject(new Error('killed')));
    await expect(died).rejects.toThrow('killed');
    const sent: OutboxMessageId[] = [];
    await relayOnce(10, (each) => void sent.push(each));
    expect(sent).toEqual([id]);
    expect(await relayOnce(10, () => undefined)).toBe(0);
  });

  it('never gives a message to two relays, and lets none wait for another', async () => {
    const ids = await leave(12);
    let open = 0;
    let openMost = 0;
    const sent: OutboxMessageId[] = [];
    const slow = async (id: OutboxMessageId): Promise<void> => {
      openMost = Math.max(openMost, ++open);
      await new Promise((resolve) => setTimeout(resolve, 60));
      open--;
      sent.push(id);
    };
    await Promise.all(Array.from({ length: 4 }, () => relayOnce(3, slow)));
    expect(openMost).toBeGreaterThan(1);
    for (let round = 0; round < 5; round++) await relayOnce(12, slow);
    expect([...sent].sort()).toEqual(ids);
  });

  it('takes everything exactly once with eight relays on two hundred messages', async () => {
    const ids = await leave(200);
    const sent: OutboxMessageId[] = [];
    const relay = async (): Promise<void> => {
      // A relay that finds nothing may have been skipping others' rows: a few empty rounds end it.
      for (let empty = 0; empty < 5;) if ((await relayOnce(7, (id) => void sent.push(id))) === 0) empty++;
    };
    await Promise.all(Array.from({ length: 8 }, relay));
    expect([...sent].sort()).toEqual(ids);
  }, 30_000);

  it('says how much waits and since when, and drops what was sent long ago', async () => {
    await leave(3);
    expect(await outbox.backlog(test.database.session)).toEqual({ count: 3, oldest: NOW });
    await relayOnce(2, () => undefined);
    expect(await outbox.backlog(test.database.session)).toMatchObject({ count: 1 });
    expect(await outbox.removeSent(test.database.session, NOW)).toBe(0);
    expect(await outbox.removeSent(test.database.session, later(1))).toBe(2);
  });

  it('refuses a payload without a version', async () => {
    const payload = { draftId: 'drf_1' } as unknown as OutboxPayload;
    const refused = test.database.unitOfWork.run((tx) =>
      outbox.insert(tx, shopId, { id: newId('outboxMessage'), topic: 't', payload, createdAt: NOW }),
    );
    await expect(refused).rejects.toMatchObject({ code: 'ROW_REFUSED' });
  });
});
