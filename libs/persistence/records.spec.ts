import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { createHash, randomBytes } from 'node:crypto';
import {
  AlterationRepository,
  ApiKeyRepository,
  apiKeySecret,
  AuditRepository,
  BlockRepository,
  BodyRepository,
  ShopRepository,
  WebhookEndpointRepository,
  type JsonObject,
  type ShopId,
} from '#persistence';
import {
  aBlock,
  aBody,
  anEndpoint,
  BLOCK_CONTENT,
  later,
  newId,
  NOW,
  storeBody,
  storeShop,
} from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';

let test: TestDatabase;
let shopId: ShopId;
let otherShopId: ShopId;

beforeAll(async () => {
  test = await createTestDatabase();
  shopId = await storeShop(test.database.session);
  otherShopId = await storeShop(test.database.session);
}, 60_000);

afterAll(() => test.drop());

describe('shops', () => {
  it('are found by their id', async () => {
    const shops = new ShopRepository();
    const shop = { id: newId('shop'), name: 'Ateliér Ňu', createdAt: NOW };
    expect(await shops.insert(test.database.session, shop)).toEqual(shop);
    expect(await shops.find(test.database.session, shop.id)).toEqual(shop);
    expect(await shops.find(test.database.session, newId('shop'))).toBeUndefined();
  });
});

describe('API keys', () => {
  const keys = new ApiKeyRepository();

  it('lead from the secret to the shop, keep only its hash, and stop when revoked', async () => {
    const { session } = test.database;
    const secret = apiKeySecret(randomBytes(32));
    const key = await keys.insert(
      session,
      shopId,
      { id: newId('apiKey'), label: 'order system', createdAt: NOW },
      secret,
    );
    expect(secret.startsWith(key.prefix)).toBe(true);
    expect(key.prefix.length).toBeLessThan(12);
    expect(await keys.findBySecret(session, secret)).toEqual(key);
    expect(await keys.findBySecret(session, `${secret.slice(0, -1)}~`)).toBeUndefined();
    const [row] = await test.query('select * from api_keys where id = $1', [key.id]);
    expect(row?.['secret_hash']).toEqual(createHash('sha256').update(secret).digest());
    expect(JSON.stringify(row)).not.toContain(secret.slice(12));

    await keys.recordUse(session, shopId, key.id, later(5));
    expect((await keys.page(session, shopId, { size: 1 })).items).toEqual([{ ...key, lastUsedAt: later(5) }]);
    expect(await keys.revoke(session, otherShopId, key.id, NOW)).toBe(false);
    expect(await keys.revoke(session, shopId, key.id, NOW)).toBe(true);
    expect(await keys.revoke(session, shopId, key.id, later(9))).toBe(false);
    expect(await keys.findBySecret(session, secret)).toBeUndefined();
  });

  it('are never made of few bits', () => {
    expect(() => apiKeySecret(randomBytes(16))).toThrow(RangeError);
    expect(apiKeySecret(randomBytes(32))).toMatch(/^fkl_[\w-]{43}$/);
  });
});

describe('bodies', () => {
  const bodies = new BodyRepository();

  it('come back as they were stored, for their own shop only', async () => {
    const { session } = test.database;
    const body = aBody({ eraseAfter: later(1_000) });
    expect(await bodies.insert(session, shopId, body)).toEqual(body);
    expect(await bodies.find(session, shopId, body.id)).toEqual(body);
    expect(await bodies.findByRef(session, shopId, body.ref)).toEqual(body);
    expect(await bodies.find(session, otherShopId, body.id)).toBeUndefined();
    expect(await bodies.findByRef(session, otherShopId, body.ref)).toBeUndefined();
    expect((await bodies.page(session, otherShopId, { size: 10 })).items).toEqual([]);
    expect(
      await bodies.update(session, otherShopId, body.id, { sex: 'male', updatedAt: NOW }),
    ).toBeUndefined();
  });

  it('are changed in what is given and keep the rest', async () => {
    const { session } = test.database;
    const body = aBody();
    await bodies.insert(session, shopId, body);
    const change = { measures: { waistGirth: 748.25 }, updatedAt: later(7) };
    expect(await bodies.update(session, shopId, body.id, change)).toEqual({ ...body, ...change });
  });

  it('have one reference each in a shop, and the refusal does not repeat the measures', async () => {
    const { session } = test.database;
    await storeBody(session, shopId, { ref: 'customer-77' });
    await storeBody(session, otherShopId, { ref: 'customer-77' });
    const refused: unknown = await storeBody(session, shopId, {
      ref: 'customer-77',
      measures: { waistGirth: 8_123 },
    }).catch((error: unknown) => error);
    expect(refused).toMatchObject({
      code: 'ALREADY_EXISTS',
      details: { constraint: 'bodies_shop_id_ref_key' },
      retryable: false,
    });
    expect(JSON.stringify(refused) + String(refused)).not.toMatch(/8123|customer-77/);
    expect((refused as Error).cause).toBeUndefined();
  });

  it('refuse what a body cannot be, without repeating it', async () => {
    const wrong = { sex: 'tall' as 'male', measures: { waistGirth: 8_124 } };
    const refused: unknown = await storeBody(test.database.session, shopId, wrong).catch(
      (error: unknown) => error,
    );
    expect(refused).toMatchObject({
      code: 'ROW_REFUSED',
      details: { constraint: 'bodies_sex_check', sqlState: '23514' },
    });
    expect(JSON.stringify(refused) + String(refused)).not.toContain('8124');
  });

  it('are due for erasure when their time is over, the longest overdue first', async () => {
    const { session } = test.database;
    const second = await storeBody(session, shopId, { eraseAfter: later(-10) });
    const first = await storeBody(session, otherShopId, { eraseAfter: later(-20) });
    const due = [
      { shopId: otherShopId, id: first },
      { shopId, id: second },
    ];
    expect(await bodies.dueForErasure(session, NOW, 10)).toEqual(due);
    expect(await bodies.dueForErasure(session, NOW, 1)).toEqual(due.slice(0, 1));
  });
});

describe('blocks', () => {
  const blocks = new BlockRepository();

  it('keep every version as it was', async () => {
    const { session, unitOfWork } = test.database;
    const block = aBlock();
    const changed = { ...BLOCK_CONTENT, levels: { hip: 835 } };
    const first = await unitOfWork.run((tx) => blocks.insert(tx, shopId, block, BLOCK_CONTENT));
    const second = await unitOfWork.run((tx) => blocks.addVersion(tx, shopId, block.id, changed, later(1)));
    expect(first).toEqual({ blockId: block.id, version: 1, content: BLOCK_CONTENT, createdAt: NOW });
    expect(second).toEqual({ blockId: block.id, version: 2, content: changed, createdAt: later(1) });
    expect(await blocks.find(session, shopId, block.id)).toEqual(block);
    expect(await blocks.findVersion(session, shopId, block.id)).toEqual(second);
    expect(await blocks.findVersion(session, shopId, block.id, 1)).toEqual(first);
    expect(await blocks.findVersion(session, shopId, block.id, 3)).toBeUndefined();
    expect(await blocks.findVersion(session, otherShopId, block.id)).toBeUndefined();
    expect(
      await unitOfWork.run((tx) => blocks.addVersion(tx, otherShopId, block.id, changed, NOW)),
    ).toBeUndefined();
    expect((await blocks.page(session, shopId, { size: 1 })).items).toEqual([block]);
    expect(await blocks.remove(session, otherShopId, block.id)).toBe(false);
    expect(await blocks.remove(session, shopId, block.id)).toBe(true);
    expect(await blocks.findVersion(session, shopId, block.id)).toBeUndefined();
  });

  it('number versions without a gap when several are added at the same time', async () => {
    const { session, unitOfWork } = test.database;
    const block = aBlock();
    await unitOfWork.run((tx) => blocks.insert(tx, shopId, block, BLOCK_CONTENT));
    const add = () => unitOfWork.run((tx) => blocks.addVersion(tx, shopId, block.id, BLOCK_CONTENT, NOW));
    const added = await Promise.all(Array.from({ length: 8 }, add));
    expect(added.map((version) => version?.version).sort()).toEqual([2, 3, 4, 5, 6, 7, 8, 9]);
    expect((await blocks.findVersion(session, shopId, block.id))?.version).toBe(9);
  });
});

describe('alterations', () => {
  const alterations = new AlterationRepository();
  const STEPS = { operations: [{ operation: 'lower-fork', with: { drop: 0.5 } }] };
  const OTHER_STEPS = { operations: [] };

  it('are worked on, published beside the versions before, and retired', async () => {
    const { session, unitOfWork } = test.database;
    const id = newId('alteration');
    await alterations.insert(session, shopId, { id, name: 'deep-drop', createdAt: NOW });
    const save = (content: typeof STEPS | typeof OTHER_STEPS) =>
      unitOfWork.run((tx) => alterations.saveDraft(tx, shopId, id, content, NOW));
    const pin = (content: JsonObject) => ({ ...content, pinned: true });
    const publish = (ms: number) =>
      unitOfWork.run((tx) => alterations.publish(tx, shopId, id, pin, later(ms)));
    const states = async () =>
      (await alterations.versions(session, shopId, id)).map(({ version, state }) => `${version} ${state}`);

    expect(await save(STEPS)).toMatchObject({ version: 1, state: 'draft' });
    expect(await save(OTHER_STEPS)).toMatchObject({ version: 1, content: OTHER_STEPS });
    expect(await alterations.findVersion(session, shopId, id)).toBeUndefined();
    expect(await publish(1)).toMatchObject({ version: 1, state: 'published', publishedAt: later(1) });
    expect(await publish(2)).toBeUndefined();
    expect(await save(STEPS)).toMatchObject({ version: 2, state: 'draft' });
    const first = { version: 1, content: { ...OTHER_STEPS, pinned: true } };
    expect(await alterations.findVersion(session, shopId, id)).toMatchObject(first);
    expect(await publish(3)).toMatchObject({
      version: 2,
      state: 'published',
      content: { ...STEPS, pinned: true },
    });
    expect(await states()).toEqual(['2 published', '1 published']);
    expect(await alterations.findVersion(session, shopId, id)).toMatchObject({ version: 2 });
    expect(await alterations.findVersion(session, shopId, id, 1)).toMatchObject(first);

    const retired = { version: 2, state: 'retired', retiredAt: later(4) };
    expect(await alterations.retire(session, shopId, id, 2, later(4))).toMatchObject(retired);
    expect(await alterations.retire(session, shopId, id, 2, later(5))).toBeUndefined();
    expect(await alterations.findVersion(session, shopId, id)).toMatchObject(first);
    expect(await save(STEPS)).toMatchObject({ version: 3, state: 'draft' });
    expect(await states()).toEqual(['3 draft', '2 retired', '1 published']);
  });

  it('are published once when ten try', async () => {
    const { session, unitOfWork } = test.database;
    const id = newId('alteration');
    await alterations.insert(session, shopId, { id, name: 'raced', createdAt: NOW });
    await unitOfWork.run((tx) => alterations.saveDraft(tx, shopId, id, STEPS, NOW));
    const publish = () => unitOfWork.run((tx) => alterations.publish(tx, shopId, id, (same) => same, NOW));
    const results = await Promise.all(Array.from({ length: 10 }, publish));
    expect(results.filter((result) => result !== undefined)).toHaveLength(1);
  });

  it('have a name of their own in a shop', async () => {
    const { session, unitOfWork } = test.database;
    const alteration = { id: newId('alteration'), name: 'tapered', createdAt: NOW };
    await alterations.insert(session, shopId, alteration);
    expect(await alterations.findByName(session, shopId, 'tapered')).toEqual(alteration);
    expect(await alterations.find(session, shopId, alteration.id)).toEqual(alteration);
    expect(await alterations.findByName(session, otherShopId, 'tapered')).toBeUndefined();
    expect(
      await unitOfWork.run((tx) => alterations.saveDraft(tx, otherShopId, alteration.id, STEPS, NOW)),
    ).toBeUndefined();
    const again = alterations.insert(session, shopId, { ...alteration, id: newId('alteration') });
    await expect(again).rejects.toMatchObject({ code: 'ALREADY_EXISTS' });
  });
});

describe('webhook endpoints', () => {
  const endpoints = new WebhookEndpointRepository();

  it('listen to what they asked for while they are enabled', async () => {
    const { session } = test.database;
    const shop = await storeShop(session);
    const all = anEndpoint();
    const some = anEndpoint({ eventTypes: ['draft.ready', 'draft.failed'] });
    const other = anEndpoint({ eventTypes: ['draft.cancelled'] });
    for (const endpoint of [all, some, other])
      expect(await endpoints.insert(session, shop, endpoint)).toEqual(endpoint);
    const ids = async () => (await endpoints.listeningTo(session, shop, 'draft.ready')).map(({ id }) => id);
    expect(await ids()).toEqual([all.id, some.id]);
    expect(await endpoints.listeningTo(session, otherShopId, 'draft.ready')).toEqual([]);
    expect(await endpoints.disable(session, shop, some.id, 'the receiver answered 410', later(1))).toBe(true);
    expect(await endpoints.disable(session, shop, some.id, 'later reason', later(2))).toBe(false);
    expect(await ids()).toEqual([all.id]);
    expect(await endpoints.find(session, shop, some.id)).toMatchObject({
      enabled: false,
      disabledReason: 'the receiver answered 410',
    });
    const enabled = await endpoints.update(session, shop, some.id, { enabled: true, updatedAt: later(3) });
    expect(enabled).toEqual({ ...some, updatedAt: later(3) });
  });

  it('carry two secrets while one is replaced', async () => {
    const { session } = test.database;
    const endpoint = anEndpoint();
    await endpoints.insert(session, shopId, endpoint);
    const secrets = [
      { secret: 'whsec_bmV3' },
      { ...endpoint.secrets[0], retiresAt: later(60_000).toISOString() },
    ];
    expect(await endpoints.update(session, shopId, endpoint.id, { secrets, updatedAt: NOW })).toMatchObject({
      secrets,
    });
    expect(
      await endpoints.update(session, otherShopId, endpoint.id, { secrets, updatedAt: NOW }),
    ).toBeUndefined();
    expect(await endpoints.find(session, otherShopId, endpoint.id)).toBeUndefined();
    expect(await endpoints.remove(session, otherShopId, endpoint.id)).toBe(false);
    expect(await endpoints.remove(session, shopId, endpoint.id)).toBe(true);
    const none = endpoints.insert(session, shopId, anEndpoint({ secrets: [] }));
    await expect(none).rejects.toMatchObject({ code: 'ROW_REFUSED' });
  });
});

describe('the audit', () => {
  it('lists what was done to a thing, newest first, for its own shop', async () => {
    const { session } = test.database;
    const audit = new AuditRepository();
    const entries = ['draft.accepted', 'draft.ready'].map((action, i) => ({
      id: newId('auditEntry'),
      action,
      subjectId: 'drf_1',
      ...(i === 0 ? { actorId: 'key_1' } : {}),
      details: { engine: '1.0.0', files: 3 },
      createdAt: later(i),
    }));
    for (const entry of entries) await audit.insert(session, shopId, entry);
    expect((await audit.page(session, shopId, 'drf_1', { size: 10 })).items).toEqual([...entries].reverse());
    expect((await audit.page(session, otherShopId, 'drf_1', { size: 10 })).items).toEqual([]);
  });
});
