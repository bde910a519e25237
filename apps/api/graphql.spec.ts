import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { createClient, type Client } from 'graphql-ws';
import { getIntrospectionQuery } from 'graphql';
import request from 'supertest';
import { WebSocket } from 'ws';
import { BLOCK, BODY, fromBody } from '../../test/support/draft-requests.js';
import { eventually } from '../../test/support/eventually.js';
import { startTestApi, type TestApi, type TestShop } from '../../test/support/test-api.js';

/** What a test looks into; a wrong look fails it. */
interface Shown {
  readonly id: string;
  readonly ref: string;
  readonly updatedAt: string;
  readonly secret: string | null;
  readonly items: readonly Shown[];
  readonly queryType: { readonly name: string };
}

interface Refused {
  readonly extensions: {
    readonly code: string;
    readonly problems: readonly { readonly pointer: string }[];
  };
}

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api.close());

async function ask(query: string, variables: object = {}, shop: TestShop = api.shop) {
  const response = await request(api.url).post('/graphql').set(shop.as).send({ query, variables });
  return {
    status: response.status,
    ...(response.body as { data: Record<string, Shown>; errors: Refused[] }),
  };
}

const CREATE =
  'mutation($request: DraftRequest!, $key: String) { createDraft(request: $request, idempotencyKey: $key) { id state requestHash } }';

describe('GraphQL', () => {
  it('makes the same of a request as REST, and one draft of one key at both doors', async () => {
    const key = randomUUID();
    const made = await ask(CREATE, { request: fromBody({ reference: 'both' }), key });
    const rest = await request(api.url)
      .post('/v1/drafts')
      .set({ ...api.shop.as, 'idempotency-key': key })
      .send(fromBody({ reference: 'both' }) as object);
    expect(rest.body.id).toBe(made.data['createDraft'].id);
    const listed = await ask(
      '{ drafts(reference: "both", state: ACCEPTED) { items { id state requestHash } next } }',
    );
    expect(listed.data['drafts']).toEqual({
      items: [{ id: rest.body.id, state: 'ACCEPTED', requestHash: rest.body.requestHash }],
      next: null,
    });
  });

  it('serves every resource', async () => {
    const body = await ask(
      'mutation($r: BodyRequest!) { createBody(request: $r) { id updatedAt measures { waistGirth } } }',
      {
        r: { ...BODY, ref: `gql-${randomUUID()}` },
      },
    );
    const { id, updatedAt } = body.data['createBody'];
    expect((await ask('query($id: ID!) { body(id: $id) { ref } }', { id })).data['body'].ref).toMatch(
      /^gql-/,
    );
    const replace =
      'mutation($id: ID!, $at: String!, $r: BodyRequest!) { replaceBody(id: $id, updatedAt: $at, request: $r) { sex } }';
    const { ref } = (await ask('query($id: ID!) { body(id: $id) { ref } }', { id })).data['body'];
    const r = { ...BODY, ref, sex: 'male' };
    expect((await ask(replace, { id, at: updatedAt, r })).data).toEqual({ replaceBody: { sex: 'MALE' } });
    expect((await ask(replace, { id, at: updatedAt, r })).errors[0].extensions.code).toBe(
      'CHANGED_MEANWHILE',
    );
    const block = await ask(
      'mutation($r: BlockRequest!) { createBlock(request: $r) { id version content } }',
      { r: BLOCK },
    );
    expect(block.data['createBlock']).toMatchObject({ version: 1, content: { name: 'W-classic' } });
    const endpoint = await ask(
      'mutation { createWebhookEndpoint(request: {url: "https://shop.example/h"}) { id secret } }',
    );
    expect(endpoint.data['createWebhookEndpoint'].secret).toMatch(/^whsec_/);
    const all = await ask(
      '{ bodies { items { id } } blocks { items { id } } webhookEndpoints { items { secret } } deliveries { items { id } } alterations { name } alterationPage(limit: 3) { items { name } next } }',
    );
    expect(all.errors).toBeUndefined();
    expect(all.data['alterationPage']).toEqual({ items: all.data['alterations'], next: null });
    expect(all.data['webhookEndpoints'].items[0].secret).toBeNull();
    expect((await ask('mutation($id: ID!) { eraseBody(id: $id) }', { id })).data).toEqual({
      eraseBody: true,
    });
  });

  it('lists what is wrong in the words of REST', async () => {
    const wrong = { block: 'from-body', outputs: ['prof'], dated: 'x' };
    const { data, errors } = await ask(CREATE, { request: wrong });
    const rest = await request(api.url).post('/v1/drafts').set(api.shop.as).send(wrong);
    expect(data).toBeNull();
    expect(errors[0].extensions).toMatchObject({ code: 'BAD_USER_INPUT', problems: rest.body.errors });
    expect(errors[0].extensions.problems).toHaveLength(3);
    const list = await ask('{ drafts(limit: 0) { next } }');
    expect(list.errors[0].extensions.problems[0]).toMatchObject({ in: 'variables', pointer: '/limit' });
  });

  it('shows nothing to another shop or to nobody', async () => {
    const { id } = (await ask(CREATE, { request: fromBody({}) })).data['createDraft'];
    for (const query of [
      'query($id: ID!) { draft(id: $id) { id } }',
      'mutation($id: ID!) { cancelDraft(id: $id) { id } }',
      'query($id: ID!) { draftFiles(id: $id) { name } }',
    ]) {
      const { errors } = await ask(query, { id }, api.otherShop);
      expect(errors[0].extensions).toEqual({ code: 'NOT_FOUND', status: 404, type: '/problems/not-found' });
    }
    const nobody = await request(api.url).post('/graphql').send({ query: '{ alterations { name } }' });
    expect([nobody.status, nobody.body.code]).toEqual([401, 'KEY_MISSING']);
  });

  it('answers the usual tools about itself', async () => {
    const { errors, data } = await ask(getIntrospectionQuery());
    expect(errors).toBeUndefined();
    expect(data['__schema'].queryType.name).toBe('Query');
  });

  // 200 x 12 lists under other names; a fragment that doubles at each of 30 levels; one that uses itself.
  it.each([
    [
      'wide',
      `{ ${Array.from({ length: 12 }, (_, i) => `l${i}: drafts(limit: 200) { items { a: id b: id c: id d: id e: id } }`).join(' ')} }`,
    ],
    ['deep', `{ __schema { ${'types { fields { type { '.repeat(6)} name ${'} } }'.repeat(6)} } }`],
    [
      'doubling',
      `{ alterations { ...f0 } } ${Array.from({ length: 30 }, (_, i) => `fragment f${i} on Alteration { ...f${i + 1} ...f${i + 1} }`).join(' ')} fragment f30 on Alteration { name }`,
    ],
    ['circular', '{ alterations { ...f } } fragment f on Alteration { name ...f }'],
    [
      'with a limit in a variable',
      `query($n: Int) { ${Array.from({ length: 20 }, (_, i) => `l${i}: drafts(limit: $n) { items { a: id b: id c: id } }`).join(' ')} }`,
    ],
  ])('refuses what is too %s at once', async (_, query) => {
    const startedAt = performance.now();
    const { status, errors } = await ask(query);
    expect(status).toBe(400);
    expect(errors.length).toBeGreaterThan(0);
    expect(JSON.stringify(errors)).not.toMatch(/stacktrace|\.js:/);
    expect(performance.now() - startedAt).toBeLessThan(5_000);
  });

  it.each(['{', '{ nope }', 'mutation { createDraft { id } }', ''])(
    'says what is wrong with %j, without a trace',
    async (query) => {
      const { status, errors } = await ask(query);
      expect(status).toBe(400);
      expect(JSON.stringify(errors)).not.toMatch(/stacktrace|\.js:/);
    },
  );
});

describe('the subscription', () => {
  const url = (): string => api.url.replace('http', 'ws') + '/graphql';
  const connect = (connectionParams: Record<string, unknown>): Client =>
    createClient({ url: url(), webSocketImpl: WebSocket, connectionParams, retryAttempts: 0, lazy: true });
  const PROGRESS =
    'subscription($id: ID!) { draftProgress(id: $id) { id state sequence progress { fraction } } }';

  it('follows a draft to its end', async () => {
    const client = connect(api.shop.as);
    const { id } = (await ask(CREATE, { request: fromBody({}) })).data['createDraft'];
    const states: Shown[] = [];
    const following = (async () => {
      for await (const { data } of client.iterate<{ draftProgress: Shown }>({
        query: PROGRESS,
        variables: { id },
      }))
        if (data != null) states.push(data.draftProgress);
    })();
    await eventually(
      () => states.length,
      (count) => count > 0,
      10_000,
    );
    await api.finishDraft(api.shop, id);
    await following;
    expect(states.at(0)).toMatchObject({ id, state: 'ACCEPTED' });
    expect(states.at(-1)).toMatchObject({ id, state: 'READY', sequence: 4, progress: { fraction: 1 } });
    await client.dispose();
  });

  it('is ended by a client that leaves, and the service can close', async () => {
    const client = connect(api.shop.as);
    const { id } = (await ask(CREATE, { request: fromBody({}) })).data['createDraft'];
    const states = client.iterate<{ draftProgress: Shown }>({ query: PROGRESS, variables: { id } });
    expect((await states.next()).value.data.draftProgress.state).toBe('ACCEPTED');
    await states.return?.();
    await client.dispose();
  });

  it('is refused to nobody, to another shop, and beyond the limits', async () => {
    const { id } = (await ask(CREATE, { request: fromBody({}) })).data['createDraft'];
    const nobody = connect({});
    await expect(nobody.iterate({ query: PROGRESS, variables: { id } }).next()).rejects.toMatchObject({
      code: 4403,
    });
    const other = connect(api.otherShop.as);
    const foreign = await firstErrors(other, { query: PROGRESS, variables: { id } });
    expect(foreign[0]?.extensions?.['code']).toBe('NOT_FOUND');
    const deep = `{ __schema { ${'types { fields { type { '.repeat(6)} name ${'} } }'.repeat(6)} } }`;
    expect(JSON.stringify(await firstErrors(other, { query: deep }))).toContain('At most 15 levels');
    await other.dispose();
  });
});

describe('the socket', () => {
  it('is only where GraphQL is, and takes no larger message than the service takes bodies', async () => {
    const elsewhere = new WebSocket(`${api.url.replace('http', 'ws')}/v1/drafts`, 'graphql-transport-ws');
    await new Promise((resolve) => elsewhere.once('error', resolve));
    const large = new WebSocket(`${api.url.replace('http', 'ws')}/graphql`, 'graphql-transport-ws');
    await new Promise((resolve) => large.once('open', resolve));
    large.send('x'.repeat(3_000_000));
    // RFC 6455 7.4.1: 1009, too big to be read.
    expect(await new Promise((resolve) => large.once('close', resolve))).toBe(1009);
  });
});

/** Errors come as the first result when a field refused, and as a rejection when the query itself was. */
async function firstErrors(client: Client, payload: { query: string; variables?: Record<string, unknown> }) {
  try {
    const { value } = await client.iterate(payload).next();
    return value?.errors ?? [];
  } catch (errors) {
    return errors as readonly { readonly extensions?: Record<string, unknown> }[];
  }
}
