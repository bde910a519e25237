import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import {
  DeliveryRepository,
  WebhookEndpointRepository,
  type NewDelivery,
  type ShopId,
  type WebhookEndpointId,
} from '#persistence';
import { later, newId, NOW, storeEndpoint, storeShop } from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';

const deliveries = new DeliveryRepository();
const LEASE = { now: later(1_000), until: later(31_000) };
const ATTEMPT = { attempt: 1, startedAt: later(1_000), durationMs: 120 };

let test: TestDatabase;
let shopId: ShopId;
let otherShopId: ShopId;
let endpointId: WebhookEndpointId;

beforeAll(async () => {
  test = await createTestDatabase(20);
  shopId = await storeShop(test.database.session);
  otherShopId = await storeShop(test.database.session);
}, 60_000);

afterAll(() => test.drop());

beforeEach(async () => {
  await test.query('delete from deliveries');
  endpointId = (await storeEndpoint(test.database.session, shopId)).id;
});

function aDelivery(change: Partial<NewDelivery> = {}): NewDelivery {
  const id = newId('delivery');
  const event = {
    eventType: 'draft.ready',
    subjectId: 'drf_1',
    payload: { type: 'draft.ready', data: { draft: 'drf_1' } },
  };
  return { id, endpointId, webhookId: `msg_${id}`, ...event, createdAt: NOW, ...change };
}

async function stored(): Promise<NewDelivery> {
  const delivery = aDelivery();
  await deliveries.insert(test.database.session, shopId, delivery);
  return delivery;
}

const takeDue = (count: number, lease = LEASE) =>
  test.database.unitOfWork.run((tx) => deliveries.takeDue(tx, count, lease));
type Finish = Parameters<DeliveryRepository['finishAttempt']>;
const finish = (id: NewDelivery['id'], made: Finish[3], next: Finish[4]) =>
  test.database.unitOfWork.run((tx) => deliveries.finishAttempt(tx, shopId, id, made, next));

describe('a delivery', () => {
  it('is overdue until it is taken, and its sender may keep it', async () => {
    const { session } = test.database;
    const { id } = await stored();
    const overdue = async (before: Date) =>
      (await deliveries.overdue(session, before, 10)).map(({ delivery }) => delivery.id);
    expect(await overdue(later(-1))).toEqual([]);
    expect(await overdue(NOW)).toEqual([id]);
    await deliveries.take(session, shopId, id, LEASE);
    expect(await overdue(later(30_999))).toEqual([]);
    expect(await deliveries.extend(session, shopId, id, 1, later(60_000))).toBe(true);
    expect(await overdue(later(59_999))).toEqual([]);
    expect(await overdue(later(60_000))).toEqual([id]);
    expect(await deliveries.extend(session, shopId, id, 2, later(90_000))).toBe(false);
    expect(await deliveries.extend(session, otherShopId, id, 1, later(90_000))).toBe(false);
  });

  it('is tried again under the same webhook id until it is delivered', async () => {
    const { session } = test.database;
    const delivery = await stored();
    expect(await deliveries.find(session, shopId, delivery.id)).toEqual({
      ...delivery,
      state: 'pending',
      attempt: 0,
      nextAttemptAt: NOW,
    });
    const [first] = await takeDue(10);
    expect(first).toMatchObject({
      shopId,
      delivery: { id: delivery.id, webhookId: delivery.webhookId, attempt: 1 },
    });
    const refused = { ...ATTEMPT, statusCode: 503 };
    expect(await finish(delivery.id, refused, { state: 'pending', nextAttemptAt: later(6_000) })).toBe(true);
    expect(await takeDue(10, { ...LEASE, now: later(5_999) })).toEqual([]);
    const second = await deliveries.take(session, shopId, delivery.id, {
      now: later(6_000),
      until: later(36_000),
    });
    expect(second).toMatchObject({ webhookId: delivery.webhookId, attempt: 2, nextAttemptAt: later(36_000) });
    const timedOut = { ...ATTEMPT, attempt: 2, error: 'TIMEOUT' };
    await finish(delivery.id, timedOut, { state: 'pending', nextAttemptAt: later(7_000) });
    await takeDue(1, { now: later(7_000), until: later(37_000) });
    const answered = { ...ATTEMPT, attempt: 3, statusCode: 204 };
    expect(await finish(delivery.id, answered, { state: 'delivered', finishedAt: later(7_100) })).toBe(true);
    expect(await deliveries.attempts(session, shopId, delivery.id)).toEqual([refused, timedOut, answered]);
    const done = await deliveries.find(session, shopId, delivery.id);
    expect(done).toEqual({ ...delivery, state: 'delivered', attempt: 3, finishedAt: later(7_100) });
    expect(await takeDue(10, { now: later(9e9), until: later(9e9) })).toEqual([]);
  });

  it('is stored once however often its event arrives', async () => {
    const { session } = test.database;
    const webhookId = 'msg_1';
    const inserts = Array.from({ length: 5 }, () =>
      deliveries.insert(session, shopId, aDelivery({ webhookId })),
    );
    expect((await Promise.all(inserts)).filter(Boolean)).toHaveLength(1);
    const elsewhere = (await storeEndpoint(session, shopId)).id;
    expect(await deliveries.insert(session, shopId, aDelivery({ webhookId, endpointId: elsewhere }))).toBe(
      true,
    );
  });

  it('is due again when its sender has died, and that one can record nothing more', async () => {
    const { id } = await stored();
    await takeDue(1);
    expect(await takeDue(1, { ...LEASE, now: later(30_999) })).toEqual([]);
    const [again] = await takeDue(1, { now: LEASE.until, until: later(60_000) });
    expect(again?.delivery).toMatchObject({ id, attempt: 2 });
    expect(await finish(id, { ...ATTEMPT, statusCode: 200 }, { state: 'delivered', finishedAt: NOW })).toBe(
      false,
    );
    expect(await deliveries.attempts(test.database.session, shopId, id)).toEqual([]);
  });

  it('goes to one of several senders, each with its own', async () => {
    const ids: string[] = [];
    for (let i = 0; i < 24; i++) ids.push((await stored()).id);
    const taken = (await Promise.all(Array.from({ length: 8 }, () => takeDue(5))))
      .flat()
      .map(({ delivery }) => delivery.id);
    expect(new Set(taken).size).toBe(taken.length);
    const rest = (await takeDue(100)).map(({ delivery }) => delivery.id);
    expect([...taken, ...rest].sort()).toEqual(ids.sort());
  });

  it('is taken by one of ten that want this one', async () => {
    const { id } = await stored();
    const take = () => deliveries.take(test.database.session, shopId, id, LEASE);
    const results = await Promise.all(Array.from({ length: 10 }, take));
    expect(results.filter((result) => result !== undefined)).toHaveLength(1);
  });

  it('can be sent again by hand, and its attempts go on counting', async () => {
    const { session } = test.database;
    const { id } = await stored();
    expect(await deliveries.replay(session, shopId, id, NOW)).toBe(false);
    await takeDue(1);
    await finish(id, { ...ATTEMPT, statusCode: 410 }, { state: 'failed', finishedAt: later(2_000) });
    expect(await deliveries.replay(session, otherShopId, id, NOW)).toBe(false);
    expect(await deliveries.replay(session, shopId, id, later(500))).toBe(true);
    expect(await takeDue(1)).toMatchObject([{ delivery: { id, attempt: 2 } }]);
  });

  it('is cancelled with its endpoint disabled and gone with it removed', async () => {
    const { session } = test.database;
    const { id } = await stored();
    expect(await deliveries.cancelPending(session, otherShopId, endpointId, NOW)).toBe(0);
    expect(await deliveries.cancelPending(session, shopId, endpointId, NOW)).toBe(1);
    expect(await deliveries.find(session, shopId, id)).toMatchObject({ state: 'cancelled', finishedAt: NOW });
    await new WebhookEndpointRepository().remove(session, shopId, endpointId);
    expect(await deliveries.find(session, shopId, id)).toBeUndefined();
  });

  it("is another shop's and so not there", async () => {
    const { session } = test.database;
    const { id } = await stored();
    expect(await deliveries.find(session, otherShopId, id)).toBeUndefined();
    expect(await deliveries.take(session, otherShopId, id, LEASE)).toBeUndefined();
    expect(
      await deliveries.insert(session, otherShopId, aDelivery()).catch((error: unknown) => error),
    ).toMatchObject({
      code: 'REFERENCE_MISSING',
    });
    const page = (shop: ShopId) =>
      deliveries.page(session, shop, { size: 5 }, { endpointId, subjectId: 'drf_1', state: 'pending' });
    expect((await page(shopId)).items.map((item) => item.id)).toEqual([id]);
    expect((await page(otherShopId)).items).toEqual([]);
  });
});
