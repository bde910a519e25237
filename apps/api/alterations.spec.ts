import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { readDraftRequest } from '#contracts';
import { produceDeliverables } from '#deliverables';
import { DraftRepository, type DraftId } from '#persistence';
import { BUILT_IN_RECIPES } from '#recipes';
import { fromBody } from '../../test/support/draft-requests.js';
import { HOUSE_STYLE } from '../../test/support/house-style.js';
import { startTestApi, type TestApi, type TestShop } from '../../test/support/test-api.js';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api.close());

interface Reply {
  readonly status: number;
  readonly headers: Headers;
  // The tests look into answers of every shape.
  // eslint-disable-next-line @typescript-eslint/no-explicit-any
  readonly json: any;
}

async function call(method: string, path: string, body?: unknown, shop: TestShop = api.shop): Promise<Reply> {
  const response = await fetch(`${api.url}/v1${path}`, {
    method,
    headers: { ...shop.as, 'content-type': 'application/json' },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
  const text = await response.text();
  const json: unknown = text === '' ? undefined : JSON.parse(text);
  return { status: response.status, headers: response.headers, json };
}

const HOUSE_NAMES = BUILT_IN_RECIPES.map(({ name }) => name);

const withDefault = (name: string, usual: number, recipeName = 'house-style') => ({
  ...HOUSE_STYLE,
  name: recipeName,
  parameters: HOUSE_STYLE.parameters.map((parameter) =>
    parameter.name === name ? { ...parameter, default: usual } : parameter,
  ),
});

/** Publish another version whose hem goes in by so much. */
async function publish(name: string, hemIn: number): Promise<void> {
  const recipe = withDefault('hemIn', hemIn, name);
  const saved = await call('PUT', `/alterations/${name}/draft`, recipe);
  if (saved.status === 404) expect((await call('POST', '/alterations', recipe)).status).toBe(201);
  expect((await call('POST', `/alterations/${name}/publish`)).status).toBe(200);
}

describe('a recipe of a shop', () => {
  it('is stored, published, read, compared and retired', async () => {
    const created = await call('POST', '/alterations', HOUSE_STYLE);
    expect(created).toMatchObject({ status: 201, json: { version: 1, state: 'draft', origin: 'shop' } });
    expect(created.headers.get('location')).toBe(created.json.links.self);
    expect((await call('POST', '/alterations', HOUSE_STYLE)).status).toBe(409);

    const published = await call('POST', '/alterations/house-style/publish');
    expect(published.json).toMatchObject({ version: 1, state: 'published' });
    expect(published.json.recipe.operations).toMatchObject({ 'redraw seam': 1, 'add piece': 1 });
    expect((await call('POST', '/alterations/house-style/publish')).status).toBe(409);

    const next = withDefault('hemIn', 30);
    const steps = [...next.steps, { report: 'casing', value: 'casing' }];
    expect(await call('PUT', '/alterations/house-style/draft', { ...next, steps })).toMatchObject({
      status: 200,
      json: { version: 2, state: 'draft' },
    });
    expect((await call('GET', '/alterations/house-style')).json.version).toBe(1);
    await call('POST', '/alterations/house-style/publish');
    expect((await call('GET', '/alterations/house-style')).json.version).toBe(2);

    const reading = (await call('GET', '/alterations/house-style/reading?version=1')).json;
    expect(reading.text).toContain('hem in: 25 mm (0 mm to 150 mm)');
    expect(reading.text).toContain('Add 1 × casing');
    expect(reading.steps.map((step: { number: number }) => step.number)).toEqual(
      reading.steps.map((_: unknown, index: number) => index + 1),
    );
    const difference = (await call('GET', '/alterations/house-style/difference?from=1&to=2')).json;
    expect(difference).toMatchObject({ same: false, about: [], parameters: [{ name: 'hemIn' }] });
    expect(difference.steps).toEqual([
      { after: { number: reading.steps.length + 1, depth: 0, text: 'Report casing: casing (40 mm).' } },
    ]);

    const far = await call('GET', '/alterations/house-style/difference?from=1&to=7');
    expect(far).toMatchObject({
      status: 404,
      json: { detail: 'house-style has no version 7. There is 2 (published), 1 (published).' },
    });
    for (const path of ['versions/9', 'reading?version=9'])
      expect((await call('GET', `/alterations/house-style/${path}`)).json.detail).toMatch(/no version 9/);
    expect((await call('POST', '/alterations/house-style/versions/9/retire')).json.detail).toMatch(
      /no version 9/,
    );
    expect((await call('GET', '/alterations/drop-crotch/versions/1')).json.detail).toBe(
      'drop-crotch comes with the service and has no versions; leave the version out.',
    );

    const retired = await call('POST', '/alterations/house-style/versions/1/retire');
    expect(retired.json).toMatchObject({ version: 1, state: 'retired' });
    const versions = (await call('GET', '/alterations/house-style/versions')).json.items;
    expect(
      versions.map(({ version, state }: { version: number; state: string }) => `${version} ${state}`),
    ).toEqual(['2 published', '1 retired']);
    const names = (await call('GET', '/alterations')).json.items.map(({ name }: { name: string }) => name);
    expect(names).toEqual(expect.arrayContaining(['drop-crotch', 'house-style']));
  });

  it('is listed page by page, those of the house in front of the first', async () => {
    for (const name of ['page-a', 'page-b', 'page-c']) await publish(name, 20);
    const names: string[][] = [];
    let cursor: string | undefined;
    for (let page = 0; page < 20; page++) {
      const more = cursor === undefined ? '' : `&cursor=${cursor}`;
      const { status, json } = await call('GET', `/alterations?limit=2${more}`);
      expect(status).toBe(200);
      names.push(json.items.map(({ name }: { name: string }) => name));
      cursor = json.next;
      if (cursor === undefined) break;
    }
    expect(names[0].slice(0, -2)).toEqual(HOUSE_NAMES);
    const own = [...names[0].slice(-2), ...names.slice(1).flat()];
    expect(own.slice(0, 3)).toEqual(['page-c', 'page-b', 'page-a']);
    expect(new Set(own).size).toBe(own.length);
    expect(names.slice(1).every((page) => page.length <= 2)).toBe(true);
    expect(await call('GET', '/alterations?limit=0')).toMatchObject({ status: 422 });
  });

  it('is not the answer about it, which says what to send instead', async () => {
    await publish('sent-back', 20);
    const answer = (await call('GET', '/alterations/sent-back')).json;
    const { status, json } = await call('PUT', '/alterations/sent-back/draft', answer);
    expect({ status, errors: json.errors }).toMatchObject({
      status: 422,
      errors: [{ pointer: '', code: 'WRONG_TYPE' }],
    });
    expect((await call('PUT', '/alterations/sent-back/draft', answer.recipe)).status).toBe(200);
  });

  it('is the business of its own shop', async () => {
    await publish('only-ours', 20);
    expect((await call('GET', '/alterations/only-ours', undefined, api.otherShop)).status).toBe(404);
    expect((await call('POST', '/alterations/only-ours/publish', undefined, api.otherShop)).status).toBe(404);
    const draft = fromBody({ alterations: [{ use: 'only-ours' }] });
    const refused = await call('POST', '/drafts', draft, api.otherShop);
    expect(refused.json.errors).toMatchObject([{ pointer: '/alterations/0/use', code: 'NOT_FOUND' }]);
  });

  it('is refused with everything that is wrong, by step and column', async () => {
    const slips = [{ let: 'a', is: 'hemin' }, { do: 'redraw saem', with: {} }, ...HOUSE_STYLE.steps];
    const { status, json } = await call('POST', '/alterations', {
      ...HOUSE_STYLE,
      name: 'slips',
      steps: slips,
    });
    expect(status).toBe(422);
    expect(json.errors).toMatchObject([
      { pointer: '/steps/1/do', code: 'NOT_ALLOWED', step: 2 },
      { pointer: '/steps/0/is', code: 'UNKNOWN_NAME', step: 1, column: 1 },
    ]);
    const taken = await call('POST', '/alterations', { ...HOUSE_STYLE, name: 'drop-crotch' });
    expect(taken.json.errors).toMatchObject([{ pointer: '/name', code: 'CONFLICT' }]);
    await publish('named', 20);
    const other = await call('PUT', '/alterations/named/draft', HOUSE_STYLE);
    expect(other.json.errors).toMatchObject([{ pointer: '/name', code: 'CONFLICT' }]);
  });
});

describe('a draft by a recipe of the shop', () => {
  const drafts = new DraftRepository();
  const made = async (id: string) => {
    const stored = await drafts.findRequest(api.db.database.session, api.shop.id, id as DraftId);
    const read = readDraftRequest(stored);
    if (!read.ok) throw new Error(read.problems[0].message);
    const { files } = await produceDeliverables(read.request, 'forkline test', () => undefined);
    return { request: read.request, hashes: files.map(({ name, sha256 }) => `${name} ${sha256}`) };
  };

  it('is made again byte for byte when newer versions are published and its own is retired', async () => {
    for (const hemIn of [18, 20, 22]) await publish('kept', hemIn);
    const order = fromBody({ alterations: [{ use: 'kept' }], outputs: ['pattern'] });
    const draft = await call('POST', '/drafts', order);
    expect(draft.status).toBe(202);
    const first = await made(draft.json.id);
    expect(first.request.alterations).toMatchObject([{ use: 'kept@3', with: { hemIn: 22 } }]);

    await publish('kept', 40);
    await call('POST', '/alterations/kept/versions/3/retire');
    const second = await made(draft.json.id);
    expect(second.hashes).toEqual(first.hashes);

    const next = await call('POST', '/drafts', order);
    expect((await made(next.json.id)).request.alterations).toMatchObject([
      { use: 'kept@4', with: { hemIn: 40 } },
    ]);
    const older = await call('POST', '/drafts', fromBody({ alterations: [{ use: 'kept@2' }] }));
    expect((await made(older.json.id)).request.alterations).toMatchObject([
      { use: 'kept@2', with: { hemIn: 20 } },
    ]);
    const refused = await call('POST', '/drafts', fromBody({ alterations: [{ use: 'kept@3' }] }));
    expect(refused.json.errors).toMatchObject([{ pointer: '/alterations/0/use', code: 'NOT_AVAILABLE' }]);
  }, 120_000);
});

describe('a preview', () => {
  it('shows the pieces of the draft that would be made', async () => {
    await publish('previewed', 20);
    const alterations = [{ use: 'previewed', with: { drop: 0.4 } }];
    const { status, json } = await call('POST', '/previews', fromBody({ alterations }));
    expect({ status, answer: json.answer, sewable: json.sewable }).toEqual({
      status: 200,
      answer: 'ready',
      sewable: true,
    });
    const read = readDraftRequest(
      fromBody({ alterations: [{ recipe: withDefault('hemIn', 20), with: { drop: 0.4 } }] }),
    );
    if (!read.ok) throw new Error(read.problems[0].message);
    const { files } = await produceDeliverables(read.request, 'forkline test', () => undefined);
    const bytes = files.find(({ name }) => name === 'draft.json')?.bytes;
    // draft.json rounds to 1e-6 mm; so do we before comparing.
    const drafted = JSON.parse(new TextDecoder().decode(bytes)) as { pieces: { edges: object[] }[] };
    const rounded = (value: unknown) =>
      JSON.parse(JSON.stringify(value), (_, found: unknown) =>
        typeof found === 'number' ? Math.round(found * 1e4) / 1e4 : found,
      ) as { edges: { role: string; line?: unknown; cubic?: unknown }[] }[];
    const shapes = (pieces: unknown) =>
      rounded(pieces).map(({ edges }) => edges.map(({ role, line, cubic }) => ({ role, line, cubic })));
    expect(shapes(json.pieces)).toEqual(shapes(drafted.pieces));
    expect(JSON.stringify(json).length).toBeLessThan(20_000);
  }, 120_000);

  it('is refused as a draft would be, and for what a preview does not write', async () => {
    const { json } = await call('POST', '/previews', {
      ...(fromBody({ alterations: [{ use: 'drop-crotsh' }] }) as object),
      outputs: ['proof'],
    });
    expect(json.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual([
      '/outputs',
      '/alterations/0/use',
    ]);
  });

  it('is cancelled by hanging up, and does not keep the next one waiting', async () => {
    const body = JSON.stringify(fromBody({ alterations: [{ use: 'drop-crotch' }] }));
    const headers = { ...api.shop.as, 'content-type': 'application/json' };
    const send = (signal?: AbortSignal) =>
      fetch(`${api.url}/v1/previews`, {
        method: 'POST',
        headers,
        body,
        ...(signal === undefined ? {} : { signal }),
      });
    const gone = new AbortController();
    const sent = Array.from({ length: 30 }, () => send(gone.signal));
    // One is answered: the others wait for the thread, and their callers lose patience.
    await Promise.race(sent);
    gone.abort();
    await Promise.allSettled(sent);
    expect((await send()).status).toBe(200);
    // Who hangs up while the request itself is still on its way has sent none.
    const failed = api.log().match(/.*request\.failed.*/g) ?? [];
    expect(failed.filter((line) => !line.includes('"ECONNRESET"'))).toEqual([]);
  }, 60_000);

  it('is answered 503 when more wait than may', async () => {
    const full = await startTestApi({ environment: { FORKLINE_COMPUTE_WAITING_MAX: '1' } });
    const body = JSON.stringify(fromBody({}));
    const headers = { ...full.shop.as, 'content-type': 'application/json' };
    const answers = await Promise.all(
      Array.from({ length: 12 }, async () => {
        const response = await fetch(`${full.url}/v1/previews`, { method: 'POST', headers, body });
        return { status: response.status, again: response.headers.get('retry-after') };
      }),
    );
    await full.close();
    expect(answers).toContainEqual({ status: 200, again: null });
    expect(answers).toContainEqual({ status: 503, again: '1' });
  }, 60_000);
});
