import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import request from 'supertest';
import { fromBody } from '../../test/support/draft-requests.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';
import { startTestWorker, type TestWorker } from '../../test/support/test-worker.js';

jest.setTimeout(120_000);

interface OpenApi {
  readonly paths: Readonly<
    Record<
      string,
      Readonly<Record<string, { readonly security?: readonly object[]; readonly operationId: string }>>
    >
  >;
}
const DOCUMENT = JSON.parse(
  readFileSync(new URL('../../../openapi/openapi.json', import.meta.url), 'utf8'),
) as OpenApi;

let api: TestApi;
let worker: TestWorker;
let draftId: string;
let otherDraftId: string;

beforeAll(async () => {
  api = await startTestApi();
  worker = await startTestWorker(api);
  draftId = await makeDraft(['proof', 'tiles-a4', 'dxf', 'plot', 'bundle']);
  otherDraftId = await makeDraft(['tiles-a4']);
});
afterAll(async () => {
  await worker.close();
  await api.close();
});

async function makeDraft(outputs: readonly string[]): Promise<string> {
  const asked = request(api.url).post('/v1/drafts').set(api.shop.as).set('Prefer', 'wait=30');
  const { body } = await asked.send(fromBody({ outputs }) as object);
  expect(body.state).toBe('ready');
  return body.id as string;
}

const make = (json: object = {}, headers: Readonly<Record<string, string>> = {}) =>
  request(api.url).post(`/v1/drafts/${draftId}/tokens`).set(api.shop.as).set(headers).send(json);

const bearer = (token: string) => ({ authorization: `Bearer ${token}` });

async function app(): Promise<{ readonly authorization: string }> {
  return bearer((await make()).body.token as string);
}

/** Every route with ids that are there; the other ids name nothing. */
function callsOn(draft: string, exported: string) {
  return Object.entries(DOCUMENT.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, { operationId, security }]) => ({
      operationId,
      method: method as 'get' | 'post' | 'put' | 'patch' | 'delete',
      isOpen: JSON.stringify(security ?? []).includes('draftToken'),
      isForAll: security?.length === 0,
      path: path
        .replace('/drafts/{id}', `/drafts/${draft}`)
        .replace('/exports/{id}', `/exports/${exported}`)
        .replace('{name}', 'tiles-a4.pdf')
        .replaceAll(/\{\w+\}/g, 'x'),
    })),
  );
}

describe('a token of a draft', () => {
  it('lets an app print the draft and fetch what it needs', async () => {
    const as = await app();
    const asked = request(api.url).post(`/v1/drafts/${draftId}/exports`).set(as).set('Prefer', 'wait=30');
    const { status, body } = await asked.send({ paper: 'a4-letter' });
    expect([status, body.state]).toEqual([201, 'ready']);
    expect((await request(api.url).get(`/v1/exports/${body.id}`).set(as)).body.pages).toBe(body.pages);
    const part = await request(api.url).get(`/v1/exports/${body.id}/file`).set(as).set('Range', 'bytes=0-3');
    expect([part.status, (part.body as Buffer).toString()]).toEqual([206, '%PDF']);
    expect((await request(api.url).head(`/v1/exports/${body.id}/file`).set(as)).status).toBe(200);
  });

  it('shows no file that holds measures, or a hash of them', async () => {
    const as = await app();
    const names = async (headers: Readonly<Record<string, string>>): Promise<string[]> =>
      (
        (await request(api.url).get(`/v1/drafts/${draftId}/files`).set(headers)).body.items as {
          name: string;
        }[]
      ).map(({ name }) => name);
    const all = await names(api.shop.as);
    const shown = await names(as);
    expect(shown).toEqual(['pattern.dxf', 'plot.plt', 'tiles-a4.pdf']);
    expect(all.length).toBeGreaterThan(shown.length);
    for (const name of all) {
      const { status } = await request(api.url).get(`/v1/drafts/${draftId}/files/${name}`).set(as);
      expect([name, status]).toEqual([name, shown.includes(name) ? 200 : 404]);
    }
  });

  it('opens no other route, and no other draft on the routes it opens', async () => {
    const as = await app();
    const printed = await request(api.url)
      .post(`/v1/drafts/${otherDraftId}/exports`)
      .set(api.shop.as)
      .set('Prefer', 'wait=30')
      .send({ paper: 'a0' });
    const calls = callsOn(otherDraftId, printed.body.id as string).filter(({ isForAll }) => !isForAll);
    expect(calls.filter(({ isOpen }) => isOpen).map(({ operationId }) => operationId)).toEqual(
      expect.arrayContaining([
        'listDraftFiles',
        'getDraftFile',
        'createExport',
        'getExport',
        'getExportFile',
      ]),
    );
    for (const { operationId, method, path, isOpen } of calls) {
      const asked = request(api.url)[method](path).set(as);
      const { status } = await asked.send(method === 'get' ? undefined : { paper: 'a4' });
      expect([operationId, status]).toEqual([operationId, isOpen ? 404 : 401]);
    }
    const graphql = await request(api.url).post('/graphql').set(as).send({ query: '{ drafts { next } }' });
    expect([graphql.status, graphql.body.code]).toEqual([401, 'KEY_MISSING']);
  });

  it.each([
    ['//v1/drafts', '/files'],
    ['/V1/drafts', '/files'],
    ['/v1/drafts', '/files/../../../bodies'],
    ['/v1/drafts', '/files/..%2f..%2f..%2fbodies'],
    ['/v1/drafts', '/tokens?x=/files'],
    ['/v1/drafts', '?/files'],
    ['/v1/drafts', ''],
  ])('is not led astray by %s...%s', async (before, after) => {
    const response = await fetch(`${api.url}${before}/${draftId}${after}`, { headers: await app() });
    expect([401, 404]).toContain(response.status);
  });

  it('is over when it was asked to be, when it is revoked, and with the key it was made with', async () => {
    const at = `/v1/drafts/${draftId}/files`;
    const status = async (token: string) => (await request(api.url).get(at).set(bearer(token))).status;
    const [short, revoked] = [await make({ expiresInSeconds: 60 }), await make()];
    expect(Date.parse(short.body.expiresAt) - Date.parse(short.body.createdAt)).toBe(60_000);
    expect(Date.parse(revoked.body.expiresAt) - Date.parse(revoked.body.createdAt)).toBe(3_600_000);
    expect([await status(short.body.token), await status(revoked.body.token)]).toEqual([200, 200]);
    const past = `UPDATE draft_tokens SET created_at = created_at - interval '1 hour', expires_at = now() - interval '1 second'`;
    await api.db.query(`${past} WHERE id = $1`, [short.body.id]);
    for (let twice = 0; twice < 2; twice++) {
      const gone = await request(api.url).delete(`/v1/draft-tokens/${revoked.body.id}`).set(api.shop.as);
      expect(gone.status).toBe(204);
    }
    expect([await status(short.body.token), await status(revoked.body.token)]).toEqual([401, 401]);
    const seen = await request(api.url).get(`/v1/draft-tokens/${revoked.body.id}`).set(api.shop.as);
    expect(seen.body).toMatchObject({ id: revoked.body.id, revokedAt: expect.any(String) });
    const last = await make();
    await api.db.query('UPDATE api_keys SET revoked_at = now() WHERE shop_id = $1', [api.shop.id]);
    expect(await status(last.body.token)).toBe(401);
    await api.db.query('UPDATE api_keys SET revoked_at = NULL WHERE shop_id = $1', [api.shop.id]);
    expect(await status(last.body.token)).toBe(200);
  });

  it.each([
    [{ expiresInSeconds: 59 }, '/expiresInSeconds'],
    [{ expiresInSeconds: 604_801 }, '/expiresInSeconds'],
    [{ expiresInSeconds: '1 h' }, '/expiresInSeconds'],
    [{ expires: 60 }, '/expires'],
  ])('is not made of %j', async (json, pointer) => {
    const { status, body } = await make(json);
    expect([status, body.errors[0].pointer]).toEqual([422, pointer]);
  });

  it('is shown once, even to the same key, and kept nowhere', async () => {
    const key = { 'Idempotency-Key': 'token-1' };
    const first = await make({}, key);
    expect([first.status, first.body.token]).toEqual([201, expect.stringMatching(/^fkt_[A-Za-z0-9_-]{43}$/)]);
    expect(first.headers['cache-control']).toBe('no-store');
    const again = await make({}, key);
    expect([again.body.id, again.body.token]).toEqual([first.body.id, undefined]);
    const list = await request(api.url).get(`/v1/drafts/${draftId}/tokens?limit=200`).set(api.shop.as);
    expect(JSON.stringify(list.body)).not.toContain('fkt_');
    await request(api.url)
      .get(`/v1/drafts/${draftId}/files`)
      .set(bearer(first.body.token as string));
    const tables = await api.db.query(
      `SELECT table_name AS name FROM information_schema.tables WHERE table_schema = 'public'`,
    );
    for (const { name } of tables) {
      const rows = await api.db.query(`SELECT to_jsonb(t)::text AS row FROM "${String(name)}" t`);
      expect(JSON.stringify(rows)).not.toContain('fkt_');
    }
    expect(`${api.log()}${worker.log()}`).not.toMatch(/fkt_|fkl_/);
  });

  it('has keys of its own for repeats', async () => {
    const headers = { 'Idempotency-Key': 'shared' };
    await make({}, headers);
    const asked = request(api.url)
      .post(`/v1/drafts/${draftId}/exports`)
      .set(await app());
    const { status, body } = await asked.set(headers).send({ paper: 'a0' });
    expect([status, body.code]).toEqual([202, undefined]);
  });

  it("is not another shop's to see or revoke", async () => {
    const { body } = await make();
    for (const method of ['get', 'delete'] as const) {
      const { status } = await request(api.url)[method](`/v1/draft-tokens/${body.id}`).set(api.otherShop.as);
      expect(status).toBe(404);
    }
  });

  it('is made, listed and revoked by GraphQL too', async () => {
    const ask = async (query: string, variables: object) =>
      (await request(api.url).post('/graphql').set(api.shop.as).send({ query, variables })).body.data;
    const made = await ask(
      `mutation ($id: ID!) { createDraftToken(draftId: $id, request: { expiresInSeconds: 60 }) { id token } }`,
      { id: draftId },
    );
    const { id, token } = made.createDraftToken as { id: string; token: string };
    expect((await request(api.url).get(`/v1/drafts/${draftId}/files`).set(bearer(token))).status).toBe(200);
    await ask(`mutation ($id: ID!) { revokeDraftToken(id: $id) }`, { id });
    const { draftToken } = await ask(`query ($id: ID!) { draftToken(id: $id) { token revokedAt } }`, { id });
    expect(draftToken).toEqual({ token: null, revokedAt: expect.any(String) });
    expect((await request(api.url).get(`/v1/drafts/${draftId}/files`).set(bearer(token))).status).toBe(401);
  });
});
