import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import request from 'supertest';
import { PROBLEM } from '#contracts';
import { BLOCK, BODY, fromBody, MEASURES } from '../../test/support/draft-requests.js';
import { startTestApi, type TestApi, type TestShop } from '../../test/support/test-api.js';
import { storeEndpoint } from '../../test/support/stored-records.js';
import { DeliveryRepository, createIds, type DeliveryId } from '#persistence';
import { CONTROLLERS } from './api-module.js';
import { routesOf } from './describe.js';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api.close());

type Method = 'get' | 'post' | 'put' | 'patch' | 'delete' | 'head' | 'options';

const call = (method: Method, path: string, shop: TestShop = api.shop) =>
  request(api.url)[method](path).set(shop.as);
const post = (path: string, json: unknown, shop?: TestShop) => call('post', path, shop).send(json as object);

function expectProblem(response: request.Response, status: number): void {
  expect(response.status).toBe(status);
  expect(response.headers['content-type']).toContain('application/problem+json');
  const problem = PROBLEM.safeParse(response.body);
  expect(problem.error?.issues ?? []).toEqual([]);
  expect(response.body.requestId).toBe(response.headers['x-request-id']);
  expect(response.text).not.toMatch(/\bat .*\.js:\d+|node_modules/);
}

async function makeDelivery(
  shop: TestShop,
): Promise<{ readonly id: DeliveryId; readonly endpointId: string }> {
  const newId = createIds({
    now: Date.now,
    randomBytes: (count) => Buffer.from(randomUUID()).subarray(0, count),
  });
  const endpoint = await storeEndpoint(api.db.database.session, shop.id);
  const id = newId('delivery');
  await new DeliveryRepository().insert(api.db.database.session, shop.id, {
    id,
    endpointId: endpoint.id,
    webhookId: randomUUID(),
    eventType: 'draft.ready',
    subjectId: newId('draft'),
    payload: {},
    createdAt: new Date(),
  });
  return { id, endpointId: endpoint.id };
}

describe('a draft that is posted', () => {
  it('is stored with its message and answered 202 with where it is', async () => {
    const response = await post('/v1/drafts', fromBody({ reference: 'order 7' }));
    expect(response.status).toBe(202);
    const { id, links } = response.body;
    expect(response.headers['location']).toBe(links.self);
    expect(response.body).toMatchObject({ state: 'accepted', sequence: 1, reference: 'order 7' });
    const messages = await api.db.query(
      `SELECT topic, payload FROM outbox_messages WHERE payload ->> 'draftId' = $1`,
      [id],
    );
    expect(messages).toEqual([{ topic: 'produce-draft', payload: { version: 1, draftId: id } }]);
  });

  it('means the same with its body and block sent or named', async () => {
    const body = { ...BODY, ref: `named-${randomUUID()}` };
    const stored = await post('/v1/bodies', { ...body, measures: { ...MEASURES, waistGirth: '74 cm' } });
    const block = await post('/v1/blocks', BLOCK);
    expect([stored.status, block.status]).toEqual([201, 201]);
    const sent = await post('/v1/drafts', { body, block: BLOCK });
    const byIds = await post('/v1/drafts', { bodyId: stored.body.id, blockId: block.body.id });
    const byName = await post('/v1/drafts', { bodyId: stored.body.id, block: block.body.id });
    expect([sent.status, byIds.status, byName.status]).toEqual([202, 202, 202]);
    expect(byIds.body.requestHash).toBe(sent.body.requestHash);
    expect(byName.body.requestHash).toBe(sent.body.requestHash);
    // A sent body is kept by its reference, so erasing it finds the drafts made from it either way.
    expect(sent.body.bodyId).toBe(stored.body.id);
    const rows = await api.db.query('SELECT DISTINCT request FROM drafts WHERE request_hash = $1', [
      sent.body.requestHash,
    ]);
    expect(rows).toHaveLength(1);
    expect(JSON.stringify(rows)).not.toMatch(/bdy_|blk_/);
  });

  it('is cancelled once, and its cancellation announced once', async () => {
    const { id } = (await post('/v1/drafts', fromBody({}))).body;
    const both = await Promise.all([1, 2].map(() => call('post', `/v1/drafts/${id}/cancel`)));
    expect(both.map(({ status, body }) => [status, body.state])).toEqual([
      [200, 'cancelled'],
      [200, 'cancelled'],
    ]);
    const announced = await api.db.query(
      `SELECT payload FROM outbox_messages WHERE topic = 'announce-draft' AND payload ->> 'draftId' = $1`,
      [id],
    );
    expect(announced).toEqual([{ payload: { version: 1, draftId: id, event: 'draft.cancelled' } }]);
  });

  it('cannot be cancelled when it has ended', async () => {
    const { id } = (await post('/v1/drafts', fromBody({}))).body;
    await api.finishDraft(api.shop, id);
    expectProblem(await call('post', `/v1/drafts/${id}/cancel`), 409);
    const ended = await call('get', `/v1/drafts/${id}`);
    expect(ended.body).toMatchObject({ state: 'ready', engineVersion: 'forkline test' });
    expect(ended.body.findings).toEqual([
      { code: 'HEM_TIGHT', level: 'info', message: 'The hem is tight.', action: 'Open it.' },
    ]);
  });

  it('is waited for as long as the caller prefers', async () => {
    const ready = post('/v1/drafts', fromBody({ reference: 'waits' }))
      .set('Prefer', 'respond-async, wait=20')
      .then((r) => r);
    let id: string | undefined;
    while (id === undefined) id = (await call('get', '/v1/drafts?reference=waits')).body.items[0]?.id;
    await api.finishDraft(api.shop, id);
    const answer = await ready;
    expect(answer.status).toBe(201);
    expect(answer.headers['preference-applied']).toBe('wait=20');
    expect(answer.body).toMatchObject({ id, state: 'ready' });
    const gaveUp = await post('/v1/drafts', fromBody({})).set('Prefer', 'wait=1');
    expect([gaveUp.status, gaveUp.headers['preference-applied']]).toEqual([202, 'wait=1']);
  });
});

describe('an idempotency key', () => {
  it('makes 20 drafts of 200 parallel posts with 20 keys', async () => {
    const shop = await api.addShop();
    const keys = Array.from({ length: 20 }, () => randomUUID());
    const answers = await Promise.all(
      Array.from({ length: 200 }, (_, i) =>
        post('/v1/drafts', fromBody({ reference: `order ${i % 20}` }), shop).set(
          'Idempotency-Key',
          keys[i % 20] ?? '',
        ),
      ),
    );
    const statuses = new Set(answers.map(({ status }) => status));
    for (const status of statuses) expect([202, 409]).toContain(status);
    for (const answer of answers.filter(({ status }) => status === 409)) {
      expectProblem(answer, 409);
      expect(answer.headers['retry-after']).toBe('1');
    }
    const ids = new Set(answers.filter(({ status }) => status === 202).map(({ body }) => body.id));
    expect(ids.size).toBe(20);
    const rows = await api.db.query('SELECT id FROM drafts WHERE shop_id = $1', [shop.id]);
    expect(rows).toHaveLength(20);
    const bodies = await api.db.query('SELECT id FROM bodies WHERE shop_id = $1', [shop.id]);
    expect(bodies).toHaveLength(1);
  });

  it('gives the first answer again, and refuses another body', async () => {
    const key = randomUUID();
    const first = await post('/v1/drafts', fromBody({ reference: 'a' })).set('Idempotency-Key', key);
    const again = await post('/v1/drafts', fromBody({ reference: 'a' })).set('Idempotency-Key', key);
    expect(again.body).toEqual(first.body);
    expect(again.headers['idempotency-replayed']).toBe('true');
    expect(first.headers['idempotency-replayed']).toBeUndefined();
    const other = await post('/v1/drafts', fromBody({ reference: 'b' })).set('Idempotency-Key', key);
    expectProblem(other, 422);
    expect(other.body.code).toBe('IDEMPOTENCY_KEY_REUSED');
    const elsewhere = await post('/v1/drafts', fromBody({ reference: 'b' }), api.otherShop).set(
      'Idempotency-Key',
      key,
    );
    expect(elsewhere.status).toBe(202);
  });

  it('is free again after a request that was refused', async () => {
    const key = randomUUID();
    expectProblem(await post('/v1/drafts', fromBody({ dated: 'x' })).set('Idempotency-Key', key), 422);
    expect((await post('/v1/drafts', fromBody({})).set('Idempotency-Key', key)).status).toBe(202);
  });
});

describe('what is wrong with a request', () => {
  it('is listed as a whole, each with its place, what was found and what is allowed', async () => {
    const response = await post('/v1/drafts', {
      bodyId: 'bdy_00000000000000000000000000',
      block: 'from-body',
      alterations: [{ use: 'drop-crotch', with: { hemIn: 500, crop: 'x', nope: 1 } }],
      outputs: ['prof'],
      dated: '2026-02-30',
    });
    expectProblem(response, 422);
    const errors = response.body.errors as { pointer: string; code: string }[];
    expect(errors.map(({ pointer, code }) => `${pointer} ${code}`).sort()).toEqual([
      '/alterations/0/with/crop NOT_A_LENGTH',
      '/alterations/0/with/hemIn OUT_OF_RANGE',
      '/alterations/0/with/nope UNKNOWN_FIELD',
      '/bodyId NOT_FOUND',
      '/dated NOT_ALLOWED',
      '/outputs/0 NOT_ALLOWED',
    ]);
    expect(errors.find(({ pointer }) => pointer.endsWith('hemIn'))).toMatchObject({
      in: 'body',
      found: '500',
      allowed: '0 to 150 mm',
    });
  });

  it('is told of queries too', async () => {
    const response = await call('get', '/v1/drafts?limit=0&state=redy&pages=2');
    expectProblem(response, 422);
    const errors = response.body.errors as { in: string; pointer: string }[];
    expect(errors.map((error) => `${error.in} ${error.pointer}`).sort()).toEqual([
      'query /limit',
      'query /pages',
      'query /state',
    ]);
    expectProblem(await call('get', '/v1/drafts?cursor=zzz'), 422);
  });

  it.each([
    ['not JSON', 'application/json', '{"block": ', 400],
    ['a name twice', 'application/json', '{"a": 1, "a": 2}', 400],
    ['not UTF-8', 'application/json', Buffer.from([0x7b, 0xff]), 400],
    ['no JSON type', 'text/plain', '{}', 415],
    ['another charset', 'application/json; charset=latin1', '{}', 415],
    ['nothing at all', 'application/json', '', 422],
    ['a list', 'application/json', '[]', 422],
    ['a prototype', 'application/json', '{"__proto__": {"body": 1}}', 422],
    ['too much', 'application/json', `"${'x'.repeat(2_200_000)}"`, 413],
    ['far too much', 'application/json', `"${'x'.repeat(40_000_000)}"`, 413],
  ])('is said of %s', async (_, type, text, status) => {
    const response = await fetch(`${api.url}/v1/drafts`, {
      method: 'POST',
      headers: { ...api.shop.as, 'content-type': type },
      body: text,
    });
    expect(response.status).toBe(status);
    expect(response.headers.get('content-type')).toContain('application/problem+json');
    expect(PROBLEM.safeParse(await response.json()).success).toBe(true);
  });

  it('is a compressed body, which is not read', async () => {
    const response = await post('/v1/drafts', {}).set('Content-Encoding', 'gzip');
    expectProblem(response, 415);
  });

  it('is a method that is not known, an address that is not there, or a path that cannot be read', async () => {
    const method = await call('put', '/v1/drafts');
    expectProblem(method, 405);
    expect(method.headers['allow']).toContain('POST');
    expectProblem(await call('get', '/v1/nowhere'), 404);
    expectProblem(await call('get', '/v1/drafts/%E0%A4%A'), 400);
    expect((await call('options', '/v1/drafts')).status).toBe(204);
  });

  it('is no key, or one that is not ours, on every route of a shop', async () => {
    for (const { method, path } of routesOf(CONTROLLERS).filter((route) => route.path.startsWith('/v1'))) {
      const address = path.replaceAll(/\{\w+\}/g, 'x');
      const asked = request(api.url)[method as Method](address);
      expectProblem(await asked.set('authorization', `Bearer fkl_${'x'.repeat(43)}`), 401);
    }
    const without = await request(api.url).get('/v1/drafts');
    expectProblem(without, 401);
    expect(without.headers['www-authenticate']).toContain('Bearer');
  });
});

describe("another shop's key", () => {
  it('finds nothing on any route with an id', async () => {
    const mine = api.shop;
    const body = await post('/v1/bodies', { ...BODY, ref: `mine-${randomUUID()}` });
    const block = await post('/v1/blocks', BLOCK);
    const draft = await post('/v1/drafts', fromBody({}));
    await api.finishDraft(mine, draft.body.id, { 'proof.svg': Buffer.from('<svg/>') });
    const delivery = await makeDelivery(mine);
    const laid = {
      drafts: [{ draftId: draft.body.id as string }],
      cloths: [{ name: 'denim', width: '150 cm' }],
    };
    const marker = await post('/v1/markers', laid);
    const printed = await post(`/v1/drafts/${draft.body.id}/exports`, { paper: 'a4' });
    const check = await post('/v1/checks', { block: BLOCK });
    const token = await post(`/v1/drafts/${draft.body.id}/tokens`, {});
    const ids: Readonly<Record<string, string>> = {
      bodies: body.body.id,
      blocks: block.body.id,
      drafts: draft.body.id,
      exports: printed.body.id,
      'draft-tokens': token.body.id,
      markers: marker.body.id,
      checks: check.body.id,
      'webhook-endpoints': delivery.endpointId,
      deliveries: delivery.id,
    };
    const routes = routesOf(CONTROLLERS).filter(({ path }) => path.includes('{id}'));
    expect(routes.length).toBeGreaterThan(15);
    for (const { method, path } of routes) {
      const kind = path.split('/')[2] ?? '';
      const address = path
        .replace('{id}', ids[kind] ?? '')
        .replace('{name}', 'proof.svg')
        .replace('{version}', '1');
      expect(ids[kind]).toBeDefined();
      const query = path.endsWith('/comparison') ? `?with=${check.body.id}` : '';
      const sent = kind === 'bodies' ? { ...BODY } : kind === 'blocks' ? BLOCK : {};
      const asked = call(method as Method, `${address}${query}`, api.otherShop).set('If-Match', '*');
      const response = ['post', 'put', 'patch'].includes(method) ? await asked.send(sent) : await asked;
      expect(`${method} ${path} ${response.status}`).toBe(`${method} ${path} 404`);
      expectProblem(response, 404);
    }
    // And all of it is still there for its own.
    for (const [kind, id] of Object.entries(ids)) {
      expect((await call('get', `/v1/${kind}/${id}`)).status).toBe(200);
    }
    expect(
      (await post('/v1/drafts', { bodyId: ids['bodies'], block: 'from-body' }, api.otherShop)).status,
    ).toBe(422);
    expect(
      (await post('/v1/drafts', { ...(fromBody({}) as object), block: ids['blocks'] }, api.otherShop)).status,
    ).toBe(422);
  });
});

describe('a body', () => {
  it('is changed only as the version that was read', async () => {
    const ref = `changes-${randomUUID()}`;
    const made = await post('/v1/bodies', { ...BODY, ref });
    const tag = made.headers['etag'] ?? '';
    const at = `/v1/bodies/${made.body.id}`;
    const changed = { ...BODY, ref, measures: { ...MEASURES, waistGirth: 760 } };
    expectProblem(await call('put', at).send(changed), 428);
    expectProblem(await call('put', at).set('If-Match', '"other"').send(changed), 412);
    expectProblem(
      await call('put', at)
        .set('If-Match', tag)
        .send({ ...changed, ref: 'another' }),
      422,
    );
    const put = await call('put', at).set('If-Match', tag).send(changed);
    expect([put.status, put.body.measures.waistGirth]).toEqual([200, 760]);
    expectProblem(await call('put', at).set('If-Match', tag).send(changed), 412);
    expect((await call('get', at).set('If-None-Match', put.headers['etag'] ?? '')).status).toBe(304);
    const second = await post('/v1/bodies', { ...BODY, ref });
    expectProblem(second, 409);
    expect(second.body.detail).toContain(made.body.id);
  });

  it('is found by its ref, at both doors and by its own shop only', async () => {
    const ref = `found ${randomUUID()} ü`;
    const made = await post('/v1/bodies', { ...BODY, ref });
    const at = `/v1/bodies?ref=${encodeURIComponent(ref)}`;
    const idsOf = ({ items }: { items: { id: string }[] }) => items.map(({ id }) => id);
    expect(idsOf((await call('get', at)).body)).toEqual([made.body.id]);
    expect(idsOf((await call('get', `${at}x`)).body)).toEqual([]);
    expect(idsOf((await call('get', at, api.otherShop)).body)).toEqual([]);
    const query = 'query ($ref: String) { bodies(ref: $ref) { items { id } } }';
    const { body } = await post('/graphql', { query, variables: { ref } });
    expect(idsOf(body.data.bodies)).toEqual([made.body.id]);
  });

  it('is erased with its drafts, their files and the answers that were kept', async () => {
    const ref = `erased-${randomUUID()}`;
    const key = randomUUID();
    const sent = { ...(fromBody({}) as object), body: { ...BODY, ref } };
    const draft = await post('/v1/drafts', sent).set('Idempotency-Key', key);
    const content = Buffer.from(randomUUID());
    await api.finishDraft(api.shop, draft.body.id, { 'proof.svg': content });
    const file = await call('get', `/v1/drafts/${draft.body.id}/files`);
    expect(await api.store.has(file.body.items[0].sha256)).toBe(true);
    expect((await call('delete', `/v1/bodies/${draft.body.bodyId}`)).status).toBe(204);
    expectProblem(await call('get', `/v1/drafts/${draft.body.id}`), 404);
    expect(await api.store.has(file.body.items[0].sha256)).toBe(false);
    expect(await api.db.query('SELECT key FROM idempotency_keys WHERE key = $1', [key])).toEqual([]);
    expectProblem(await call('delete', `/v1/bodies/${draft.body.bodyId}`), 404);
  });
});

describe('blocks, alterations and lists', () => {
  it('keep every version of a block as it was', async () => {
    const made = await post('/v1/blocks', BLOCK);
    const second = await post(`/v1/blocks/${made.body.id}/versions`, { ...BLOCK, name: 'W-second' });
    expect([second.status, second.body.version]).toEqual([201, 2]);
    const [first, newest] = await Promise.all([
      call('get', `/v1/blocks/${made.body.id}/versions/1`),
      call('get', `/v1/blocks/${made.body.id}`),
    ]);
    expect([first.body.content.name, newest.body.content.name]).toEqual(['W-classic', 'W-second']);
    expect(first.body.content.levels.hip).toBe(835);
    expectProblem(await call('get', `/v1/blocks/${made.body.id}/versions/3`), 404);
    expect((await call('delete', `/v1/blocks/${made.body.id}`)).status).toBe(204);
    expectProblem(await call('get', `/v1/blocks/${made.body.id}`), 404);
  });

  it('tell what an alteration takes', async () => {
    const { body } = await call('get', '/v1/alterations');
    expect(body.items.map(({ name }: { name: string }) => name)).toContain('drop-crotch');
    const one = await call('get', '/v1/alterations/drop-crotch');
    expect(one.body.parameters).toContainEqual(
      expect.objectContaining({ name: 'hemIn', min: 0, max: 150, unit: 'mm', default: 19 }),
    );
    expectProblem(await call('get', '/v1/alterations/nope'), 404);
  });

  it('come in pages without gap or repeat', async () => {
    const shop = await api.addShop();
    for (let i = 0; i < 5; i++) await post('/v1/drafts', fromBody({ reference: `p${i}` }), shop);
    const seen: string[] = [];
    for (let path = '/v1/drafts?limit=2'; path !== '';) {
      const { body } = await call('get', path, shop);
      seen.push(...body.items.map(({ reference }: { reference: string }) => reference));
      path = body.next === undefined ? '' : `/v1/drafts?limit=2&cursor=${body.next}`;
    }
    expect(seen).toEqual(['p4', 'p3', 'p2', 'p1', 'p0']);
  });
});

describe('a webhook endpoint', () => {
  it('shows its secret once, keeps the old one for a day, and is changed and removed', async () => {
    const made = await post('/v1/webhook-endpoints', {
      url: 'https://shop.example/hooks',
      eventTypes: ['draft.ready'],
    });
    expect(made.status).toBe(201);
    expect(made.body.secret).toMatch(/^whsec_/);
    const at = `/v1/webhook-endpoints/${made.body.id}`;
    expect((await call('get', at)).body.secret).toBeUndefined();
    const rotated = await call('post', `${at}/rotate-secret`);
    expect(rotated.body.secret).toMatch(/^whsec_/);
    expect(rotated.body.secret).not.toBe(made.body.secret);
    const [row] = await api.db.query('SELECT secrets FROM webhook_endpoints WHERE id = $1', [made.body.id]);
    expect(row?.['secrets']).toEqual([
      { secret: rotated.body.secret },
      { secret: made.body.secret, retiresAt: expect.any(String) },
    ]);
    const changed = await call('patch', at).send({ eventTypes: [] });
    expect([changed.status, changed.body.eventTypes, changed.body.url]).toEqual([
      200,
      [],
      'https://shop.example/hooks',
    ]);
    expect((await call('delete', at)).status).toBe(204);
    expectProblem(await call('get', at), 404);
  });

  it.each([
    'http://shop.example/',
    'https://127.0.0.1/',
    'https://localhost/',
    'https://u:p@shop.example/',
    'x',
  ])('is not %s', async (url) => {
    const response = await post('/v1/webhook-endpoints', { url });
    expectProblem(response, 422);
    expect(response.body.errors[0]).toMatchObject({ in: 'body', pointer: '/url' });
  });

  it('has its deliveries sent again, once they have ended', async () => {
    const { id, endpointId } = await makeDelivery(api.shop);
    expectProblem(await call('post', `/v1/deliveries/${id}/redeliver`), 409);
    await api.db.query(
      `UPDATE deliveries SET state = 'failed', attempt = 1, next_attempt_at = NULL, finished_at = now() WHERE id = $1`,
      [id],
    );
    await api.db.query(`INSERT INTO delivery_attempts VALUES ($1, $2, 1, now(), 12, NULL, 'TIMEOUT')`, [
      api.shop.id,
      id,
    ]);
    const shown = await call('get', `/v1/deliveries/${id}`);
    expect(shown.body.attempts).toEqual([
      { attempt: 1, startedAt: expect.any(String), durationMs: 12, error: 'TIMEOUT' },
    ]);
    expect(
      (await call('get', `/v1/deliveries?endpointId=${endpointId}&state=failed`)).body.items,
    ).toHaveLength(1);
    const again = await call('post', `/v1/deliveries/${id}/redeliver`);
    expect([again.status, again.body.state]).toEqual([202, 'pending']);
    const messages = await api.db.query(
      `SELECT payload FROM outbox_messages WHERE topic = 'deliver-webhook'`,
    );
    expect(messages).toEqual([{ payload: { version: 1, deliveryId: id } }]);
  });
});

describe('the service itself', () => {
  it('says that it lives, whether it is ready, and its metrics', async () => {
    expect((await request(api.url).get('/healthz')).body).toEqual({ alive: true });
    await api.db.query('UPDATE outbox_messages SET sent_at = now()');
    const ready = await request(api.url).get('/readyz');
    expect([ready.status, ready.body.ready]).toEqual([200, true]);
    await post('/v1/drafts', fromBody({}));
    await api.db.query(
      `UPDATE outbox_messages SET created_at = now() - interval '5 minutes' WHERE sent_at IS NULL`,
    );
    const behind = await request(api.url).get('/readyz');
    expect([behind.status, behind.body.ready, behind.body.checks.outbox]).toEqual([200, true, 'late']);
    expect(behind.body.outbox.oldestSeconds).toBeGreaterThanOrEqual(300);
    const { text } = await request(api.url).get('/metrics');
    expect(text).toMatch(/forkline_drafts\{state="accepted"\} \d+/);
    expect(text).toContain('route="/v1/drafts/:id"');
  });

  it('shows its reference without asking another host', async () => {
    const page = await request(api.url).get('/docs/index.html');
    expect(page.headers['content-security-policy']).not.toMatch(/https?:|\*/);
    expect(page.text).not.toMatch(/https?:\/\//);
    for (const [, name] of page.text.matchAll(/(?:src|href)="([^"]+)"/g)) {
      expect((await request(api.url).get(`/docs/${name}`)).status).toBe(200);
    }
    expect((await request(api.url).get('/docs')).headers['location']).toBe('/docs/index.html');
    expectProblem(await request(api.url).get('/docs/package.json'), 404);
    expect((await request(api.url).get('/openapi.json')).body.openapi).toBe('3.1.0');
    expect((await request(api.url).get('/problems/not-found')).status).toBe(200);
  });

  it('logs requests and drafts by their ids, and no measure, name of a query or path', async () => {
    const planted = {
      ...BODY,
      ref: 'planted-ref',
      measures: { ...MEASURES, waistGirth: 731.8264195, hipGirth: 1018.9364518 },
    };
    const draft = await post('/v1/drafts', {
      body: planted,
      block: 'from-body',
      reference: 'planted-line',
    });
    await post('/v1/drafts', {
      body: { ...planted, measures: { ...MEASURES, waistGirth: 9731.8264195 } },
      block: 'from-body',
    });
    await call('get', '/v1/drafts?reference=planted-line');
    await call('get', '/v1/planted');
    const { text } = await request(api.url).get('/metrics');
    for (const written of [api.log(), text])
      expect(written).not.toMatch(/731\.8264195|1018\.9364518|planted/);
    const lines = api
      .log()
      .split('\n')
      .filter((line) => line !== '')
      .map((line) => JSON.parse(line));
    expect(lines).toContainEqual(
      expect.objectContaining({
        event: 'draft.accepted',
        draftId: draft.body.id,
        requestId: draft.headers['x-request-id'],
      }),
    );
  });
});

describe('a shop that asks too often', () => {
  it('is told how long to wait, and others are not held up', async () => {
    const small = await startTestApi({ rate: { burst: 3, perSecond: 0.5 } });
    try {
      const ask = (shop: TestShop) => request(small.url).get('/v1/alterations').set(shop.as);
      const statuses = [];
      for (let i = 0; i < 4; i++) statuses.push((await ask(small.shop)).status);
      expect(statuses).toEqual([200, 200, 200, 429]);
      const refused = await ask(small.shop);
      expectProblem(refused, 429);
      expect(Number(refused.headers['retry-after'])).toBeGreaterThan(0);
      expect((await ask(small.otherShop)).status).toBe(200);
    } finally {
      await small.close();
    }
  });
});
