import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { IdempotencyRepository, type Claim, type ClaimResult, type ShopId } from '#persistence';
import { later, NOW, storeShop } from '../../test/support/stored-records.js';
import { createTestDatabase, type TestDatabase } from '../../test/support/test-database.js';

const keys = new IdempotencyRepository();
const ANSWER = { status: 202, body: { id: 'drf_1', state: 'accepted' } };

let test: TestDatabase;
let shopId: ShopId;
let count = 0;

beforeAll(async () => {
  test = await createTestDatabase(20);
  shopId = await storeShop(test.database.session);
}, 60_000);

afterAll(() => test.drop());

function aClaim(change: Partial<Claim> = {}): Claim {
  const times = { now: NOW, claimedUntil: later(30_000), expiresAt: later(86_400_000) };
  return {
    key: `key-${count++}`,
    fingerprint: 'POST /v1/drafts abc',
    token: `token-${count++}`,
    ...times,
    ...change,
  };
}

const claim = (claimed: Claim, shop = shopId): Promise<ClaimResult> =>
  keys.claim(test.database.session, shop, claimed);
const finish = (claimed: Claim): Promise<boolean> =>
  test.database.unitOfWork.run((tx) => keys.finish(tx, shopId, claimed, ANSWER, 'drf_1'));

describe('an idempotency key', () => {
  it('is claimed once, busy while it is worked on, and then gives the same answer', async () => {
    const first = aClaim();
    expect(await claim(first)).toEqual({ outcome: 'claimed' });
    expect(await claim({ ...first, token: 'b' })).toEqual({ outcome: 'in-progress' });
    expect(await finish(first)).toBe(true);
    const finished = { outcome: 'finished', response: ANSWER };
    expect(await claim({ ...first, token: 'c' })).toEqual(finished);
    expect(await claim({ ...first, token: 'd', now: later(86_000_000) })).toEqual(finished);
    expect(await finish(first)).toBe(false);
  });

  it('gives back an answer without a body', async () => {
    const first = aClaim();
    await claim(first);
    await keys.finish(test.database.session, shopId, first, { status: 204 });
    expect(await claim({ ...first, token: 'b' })).toEqual({ outcome: 'finished', response: { status: 204 } });
  });

  it('is not for another request, running or finished', async () => {
    const first = aClaim();
    const other = { ...first, fingerprint: 'POST /v1/drafts xyz', token: 'b' };
    await claim(first);
    expect(await claim(other)).toEqual({ outcome: 'mismatch' });
    await finish(first);
    expect(await claim(other)).toEqual({ outcome: 'mismatch' });
  });

  it("is a shop's own", async () => {
    const first = aClaim();
    await claim(first);
    expect(await claim({ ...first, token: 'b' }, await storeShop(test.database.session))).toEqual({
      outcome: 'claimed',
    });
  });

  it('is free again when whoever claimed it has died, who then cannot answer', async () => {
    const dead = aClaim();
    await claim(dead);
    const next = { ...dead, token: 'b', now: dead.claimedUntil, claimedUntil: later(60_000) };
    expect(await claim({ ...next, fingerprint: 'another request' })).toEqual({ outcome: 'mismatch' });
    expect(await claim(next)).toEqual({ outcome: 'claimed' });
    expect(await finish(dead)).toBe(false);
    expect(await finish(next)).toBe(true);
  });

  it('is free again for any request when its answer has expired, or it was given back', async () => {
    const first = aClaim();
    await claim(first);
    await finish(first);
    const other = {
      ...first,
      fingerprint: 'other',
      token: 'b',
      now: first.expiresAt,
      expiresAt: later(99_999_999),
    };
    expect(await claim(other)).toEqual({ outcome: 'claimed' });
    await keys.release(test.database.session, shopId, other);
    expect(await claim({ ...first, token: 'c' })).toEqual({ outcome: 'claimed' });
  });

  it('is removed when it has expired', async () => {
    const old = aClaim({ expiresAt: later(-1) });
    await claim(old);
    expect(await keys.removeExpired(test.database.session, NOW)).toBe(1);
    expect(await test.query('select 1 from idempotency_keys where key = $1', [old.key])).toEqual([]);
  });

  it('is claimed by one of ten: 200 claims of 20 keys at the same time give 20 winners', async () => {
    const claims = Array.from({ length: 200 }, (_, i) =>
      aClaim({ key: `raced-${i % 20}`, token: `racer-${i}` }),
    );
    const results = await Promise.all(claims.map((each) => claim(each)));
    const winners = claims.filter((_, i) => results[i]?.outcome === 'claimed').map(({ key }) => key);
    expect(winners).toHaveLength(20);
    expect(new Set(winners).size).toBe(20);
    expect(results.filter(({ outcome }) => outcome === 'in-progress')).toHaveLength(180);
  });

  it('is claimed by one of ten when its claimant has died', async () => {
    const dead = aClaim();
    await claim(dead);
    const now = dead.claimedUntil;
    const racers = Array.from({ length: 10 }, (_, i) => ({
      ...dead,
      token: `heir-${i}`,
      now,
      claimedUntil: later(60_000),
    }));
    const results = await Promise.all(racers.map((each) => claim(each)));
    expect(results.filter(({ outcome }) => outcome === 'claimed')).toHaveLength(1);
  });
});
