import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import request from 'supertest';
import { readDraftRequest, readExportRequest } from '#contracts';
import { engineVersion, producePrint } from '#deliverables';
import { BODY, fromBody } from '../../test/support/draft-requests.js';
import { eventually } from '../../test/support/eventually.js';
import { newId } from '../../test/support/invented-shop.js';
import { readPdf } from '../../test/support/read-pdf.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';
import { startTestWorker, type TestWorker } from '../../test/support/test-worker.js';

jest.setTimeout(120_000);

let api: TestApi;
let worker: TestWorker;
/** A finished draft that was asked for its tiles on A4 as well. */
let draftId: string;

beforeAll(async () => {
  api = await startTestApi();
  worker = await startTestWorker(api, {}, { lostMs: 2_000 });
  draftId = await makeDraft(fromBody({ outputs: ['tiles-a4'], dated: '2026-03-02' }));
});
afterAll(async () => {
  await worker.close();
  await api.close();
});

async function makeDraft(json: unknown): Promise<string> {
  const asked = request(api.url).post('/v1/drafts').set(api.shop.as).set('Prefer', 'wait=30');
  const { status, body } = await asked.send(json as object);
  expect([status, body.state]).toEqual([201, 'ready']);
  return body.id as string;
}

const print = (
  json: object,
  headers: Readonly<Record<string, string>> = { Prefer: 'wait=30' },
  id = draftId,
) => request(api.url).post(`/v1/drafts/${id}/exports`).set(api.shop.as).set(headers).send(json);

const get = (path: string, headers: Readonly<Record<string, string>> = {}) =>
  request(api.url).get(path).set(api.shop.as).set(headers).buffer(true).parse(readAll);

function readAll(response: request.Response, done: (error: Error | null, body: Buffer) => void): void {
  const stream = response as unknown as NodeJS.ReadableStream;
  const parts: Buffer[] = [];
  stream.on('data', (part: Buffer) => parts.push(part));
  stream.on('end', () => done(null, Buffer.concat(parts)));
}

describe('an export of a finished draft', () => {
  // The sizes of paper: ISO 216 for A0, A3, A4; ANSI/ASME Y14.1 for Letter and Tabloid.
  it.each([
    ['a4', 210, 297],
    ['letter', 215.9, 279.4],
    ['a4-letter', 210, 297],
    ['a3', 297, 420],
    ['tabloid', 279.4, 431.8],
    ['a0', 841, 1189],
  ])('on %s tells its pages and their size, and the file has them', async (paper, widthMm, heightMm) => {
    const { status, body, headers } = await print({ paper });
    expect([status, body.state, body.paper]).toEqual([201, 'ready', paper]);
    expect(headers['location']).toBe(body.links.self);
    expect(headers['preference-applied']).toBe('wait=30');
    const file = await get(`/v1/exports/${body.id}/file`);
    const { pages, printScaling } = await readPdf(file.body as Buffer);
    expect(pages).toHaveLength(body.pages);
    expect(printScaling).toBe('None');
    for (const page of pages) {
      expect(page.widthMm).toBeCloseTo(widthMm, 2);
      expect(page.heightMm).toBeCloseTo(heightMm, 2);
    }
    expect([body.pageWidthMm, body.pageHeightMm]).toEqual([widthMm, heightMm]);
    expect(
      createHash('sha256')
        .update(file.body as Buffer)
        .digest('hex'),
    ).toBe(body.file.sha256);
  });

  it.each(['roll-610', 'roll-914', 'roll-1067'])('on %s is as wide as the roll', async (paper) => {
    const { body } = await print({ paper });
    expect(body).toMatchObject({ state: 'ready', pageWidthMm: Number(paper.slice(5)) });
    const { pages } = await readPdf((await get(`/v1/exports/${body.id}/file`)).body as Buffer);
    expect(Math.max(...pages.map(({ heightMm }) => heightMm))).toBeCloseTo(body.pageHeightMm, 2);
  });

  it('takes as many pages as the draft said of its own, and is drawn the same', async () => {
    const { body } = await print({ paper: 'a4' });
    const own = await get(`/v1/drafts/${draftId}/files/draft.json`);
    const { pages } = JSON.parse((own.body as Buffer).toString()) as { pages: Record<string, number> };
    expect(body.pages).toBe(pages['tiles-a4.pdf']);
    const tiles = await get(`/v1/drafts/${draftId}/files/tiles-a4.pdf`);
    const printed = await get(`/v1/exports/${body.id}/file`);
    expect((printed.body as Buffer).equals(tiles.body as Buffer)).toBe(true);
  });

  it('draws the layers that were asked for and always what a print is checked by', async () => {
    const layers = async (json: object): Promise<readonly string[]> => {
      const { body } = await print(json);
      return (await readPdf((await get(`/v1/exports/${body.id}/file`)).body as Buffer)).layers;
    };
    const all = await layers({ paper: 'a0' });
    expect(all).toEqual(
      expect.arrayContaining(['seam line', 'cut line', 'notches', 'labels', 'test square']),
    );
    const few = await layers({ paper: 'a0', layers: ['cut-line', 'notches'] });
    expect([...few].sort()).toEqual(['cut line', 'notches', 'notes', 'test square']);
  });

  it('tells whoever cuts of the lines it has, and of no other', async () => {
    const words = async (layers: readonly string[]): Promise<string> => {
      const { body } = await print({ paper: 'a3', layers });
      const { pages } = await readPdf((await get(`/v1/exports/${body.id}/file`)).body as Buffer);
      return pages.flatMap(({ texts }) => texts).join(' ');
    };
    expect(await words(['cut-line', 'seam-line'])).toMatch(/bold line.*dashed line is the seam/);
    const cutOnly = await words(['cut-line', 'notches']);
    expect(cutOnly).toMatch(/Cut out along the bold line/);
    expect(cutOnly).not.toMatch(/dashed/);
    const seamOnly = await words(['seam-line']);
    expect(seamOnly).toMatch(/No cut line is drawn: add the allowances/);
    expect(seamOnly).not.toMatch(/bold/);
  });

  it('says how many pages before they are there', async () => {
    await api.db.query('CREATE TABLE seen (id text, state text, pages int)');
    await api.db.query(`CREATE FUNCTION see() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN INSERT INTO seen VALUES (NEW.id, NEW.state, NEW.pages); RETURN NULL; END $$`);
    await api.db.query('CREATE TRIGGER see AFTER UPDATE ON exports FOR EACH ROW EXECUTE FUNCTION see()');
    try {
      const { body } = await print({ paper: 'tabloid', layers: ['cut-line', 'grain'] });
      const seen = await api.db.query('SELECT state, pages FROM seen WHERE id = $1', [body.id]);
      expect(seen).toContainEqual({ state: 'working', pages: body.pages });
      expect(seen.at(-1)).toEqual({ state: 'ready', pages: body.pages });
    } finally {
      await api.db.query('DROP TRIGGER see ON exports');
      await api.db.query('DROP FUNCTION see; ');
      await api.db.query('DROP TABLE seen');
    }
  });

  it('is the file that the same engine makes of the same draft, byte for byte', async () => {
    const { body } = await print({ paper: 'a3' });
    const read = readDraftRequest(fromBody({ outputs: ['tiles-a4'], dated: '2026-03-02' }));
    const asked = readExportRequest({ paper: 'a3' });
    if (!read.ok || !asked.ok) throw new Error('not read');
    const made = await producePrint(read.request, engineVersion(), asked.value, () => undefined);
    expect('file' in made && made.file.sha256).toBe(body.file.sha256);
  });

  it('comes in parts and not twice', async () => {
    const { body } = await print({ paper: 'a4' });
    const at = `/v1/exports/${body.id}/file`;
    const whole = (await get(at)).body as Buffer;
    const tag = `"${body.file.sha256}"`;
    const part = await get(at, { Range: 'bytes=100-199', 'If-Range': tag });
    expect([part.status, part.headers['content-range'], part.headers['etag']]).toEqual([
      206,
      `bytes 100-199/${whole.length}`,
      tag,
    ]);
    expect(whole.subarray(100, 200).equals(part.body as Buffer)).toBe(true);
    expect((await get(at, { 'If-None-Match': tag })).status).toBe(304);
    expect((await get(at, { Range: 'bytes=999999999-' })).status).toBe(416);
    expect((await get(at)).headers['content-disposition']).toBe('attachment; filename="tiles-a4.pdf"');
  });

  it('is made once for each paper and set of layers, and once for each key', async () => {
    const first = await print({ paper: 'letter' });
    const again = await print({ layers: [...first.body.layers].reverse(), paper: 'letter' }, {});
    expect([again.status, again.body.id]).toEqual([201, first.body.id]);
    const key = { 'Idempotency-Key': 'print-1' };
    const made = await print({ paper: 'letter', layers: ['cut-line'] }, key);
    const replayed = await print({ paper: 'letter', layers: ['cut-line'] }, key);
    expect([made.status, replayed.body.id, replayed.headers['idempotency-replayed']]).toEqual([
      202,
      made.body.id,
      'true',
    ]);
    expect((await print({ paper: 'a3' }, key)).body.code).toBe('IDEMPOTENCY_KEY_REUSED');
  });

  it('is listed with the others of its draft', async () => {
    const list = await request(api.url).get(`/v1/drafts/${draftId}/exports?limit=2`).set(api.shop.as);
    expect(list.body.items).toHaveLength(2);
    expect(list.body.next).toEqual(expect.any(String));
  });

  it('is followed to its end', async () => {
    const { body } = await print({ paper: 'roll-914', layers: ['cut-line', 'labels'] }, {});
    const response = await fetch(`${api.url}/v1/exports/${body.id}/events`, { headers: api.shop.as });
    const text = await response.text();
    const last = text.trim().split('\n\n').at(-1) ?? '';
    expect(last).toContain('event: export');
    expect(JSON.parse(/^data: (.*)$/m.exec(last)?.[1] ?? '')).toMatchObject({ id: body.id, state: 'ready' });
  });

  it('is answered by GraphQL in the same words', async () => {
    const rest = await print({ paper: 'a0' });
    const query = `mutation ($id: ID!, $request: ExportRequest!) {
      createExport(draftId: $id, request: $request) { id pages paper layers state file { sha256 href } } }`;
    const { body } = await request(api.url)
      .post('/graphql')
      .set(api.shop.as)
      .send({ query, variables: { id: draftId, request: { paper: 'a0' } } });
    expect(body.data.createExport).toEqual({
      id: rest.body.id,
      pages: rest.body.pages,
      paper: 'a0',
      layers: rest.body.layers,
      state: 'READY',
      file: { sha256: rest.body.file.sha256, href: rest.body.file.href },
    });
  });
});

describe('an export that cannot be', () => {
  it('lists all that is wrong with it', async () => {
    const { status, body, headers } = await print({ paper: 'a5', layers: ['cutline', 7], size: 'M' });
    expect([status, headers['content-type']]).toEqual([422, 'application/problem+json; charset=utf-8']);
    expect(body.errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual([
      '/layers/0',
      '/layers/1',
      '/paper',
      '/size',
    ]);
    expect(JSON.stringify(body.errors)).toContain('Did you mean \\"cut-line\\"?');
    const nothing = await print({ paper: 'a4', layers: ['grain'] });
    expect(nothing.body.errors).toMatchObject([{ pointer: '/layers' }]);
  });

  it("is of another shop's draft, and so of none", async () => {
    const { body } = await print({ paper: 'a4' });
    const as = api.otherShop.as;
    const answers = [
      await request(api.url).post(`/v1/drafts/${draftId}/exports`).set(as).send({ paper: 'a4' }),
      await request(api.url).post(`/v1/drafts/${draftId}/exports`).set(as).send({ paper: 'a5' }),
      await request(api.url).get(`/v1/drafts/${draftId}/exports`).set(as),
      await request(api.url).get(`/v1/exports/${body.id}`).set(as),
      await request(api.url).get(`/v1/exports/${body.id}/file`).set(as),
      await request(api.url).get(`/v1/exports/${body.id}/events`).set(as),
      await request(api.url).post(`/v1/drafts/${draftId}/tokens`).set(as).send({}),
      await request(api.url).get(`/v1/drafts/${draftId}/tokens`).set(as),
    ];
    expect(answers.map(({ status }) => status)).toEqual(answers.map(() => 404));
  });

  it('is of a draft that is not finished', async () => {
    const { body } = await request(api.url)
      .post('/v1/drafts')
      .set(api.shop.as)
      .send(fromBody({ outputs: [] }) as object);
    await request(api.url).post(`/v1/drafts/${body.id}/cancel`).set(api.shop.as);
    const refused = await print({ paper: 'a4' }, {}, body.id as string);
    const { state } = (await request(api.url).get(`/v1/drafts/${body.id}`).set(api.shop.as)).body;
    // The worker may have been faster than the cancelling.
    expect([refused.status, refused.body.code]).toEqual(
      state === 'cancelled' ? [409, 'STATE_CONFLICT'] : [202, undefined],
    );
  });

  it('is of a draft that another version has made', async () => {
    const id = await makeDraft(fromBody({ outputs: [] }));
    await api.db.query(`UPDATE drafts SET engine_version = 'forkline 0.0.1' WHERE id = $1`, [id]);
    const { body } = await print({ paper: 'a4' }, { Prefer: 'wait=30' }, id);
    expect(body.state).toBe('failed');
    expect(body.errorReason).toContain('made by forkline 0.0.1');
    expect((await get(`/v1/exports/${body.id}/file`)).status).toBe(409);
    // A print that failed is no print: asked for again it is tried again.
    expect((await print({ paper: 'a4' }, {}, id)).body.id).not.toBe(body.id);
  });

  it('has a piece that is wider than the paper', async () => {
    const wide = {
      outputs: ['dxf'],
      finish: { allowances: { outseam: 80, inseam: 80 } },
      ease: { name: 'full', hip: 300, thigh: 200 },
    };
    const asked = request(api.url).post('/v1/drafts').set(api.shop.as).set('Prefer', 'wait=30');
    const draft = await asked.send(fromBody(wide) as object);
    const { body } = await print({ paper: 'roll-610' }, { Prefer: 'wait=30' }, draft.body.id as string);
    expect(body).toMatchObject({ state: 'failed', errorReason: expect.stringContaining('roll-610') });
  });
});

describe('an export whose message is lost', () => {
  it('is found by its row and made all the same', async () => {
    const id = newId('export');
    await api.db.query(
      `INSERT INTO exports (id, shop_id, draft_id, state, attempt, sequence, request, request_text, created_at, updated_at)
       VALUES ($1, $2, $3, 'working', 1, 2, $4, $5, now(), now() - interval '1 minute')`,
      [id, api.shop.id, draftId, { paper: 'a3', layers: ['cut-line'] }, 'lost'],
    );
    const state = async () => (await request(api.url).get(`/v1/exports/${id}`).set(api.shop.as)).body.state;
    await eventually(state, (found) => found === 'ready', 30_000);
    const [row] = await api.db.query('SELECT attempt FROM exports WHERE id = $1', [id]);
    expect(row).toEqual({ attempt: 2 });
  });
});

describe('erasing a person', () => {
  it('erases the prints and tokens of their drafts, and the files', async () => {
    const id = await makeDraft(fromBody({ body: { ...BODY, ref: 'to be erased' }, outputs: [] }));
    const { body } = await print({ paper: 'a4' }, { Prefer: 'wait=30', 'Idempotency-Key': 'erased' }, id);
    await request(api.url).post(`/v1/drafts/${id}/tokens`).set(api.shop.as).send({});
    expect(await api.store.has(body.file.sha256)).toBe(true);
    const draft = await request(api.url).get(`/v1/drafts/${id}`).set(api.shop.as);
    const erased = await request(api.url).delete(`/v1/bodies/${draft.body.bodyId}`).set(api.shop.as);
    expect(erased.status).toBe(204);
    expect((await request(api.url).get(`/v1/exports/${body.id}`).set(api.shop.as)).status).toBe(404);
    expect(await api.store.has(body.file.sha256)).toBe(false);
    const left = await api.db.query(
      `SELECT 1 FROM draft_tokens WHERE draft_id = $1 UNION ALL SELECT 1 FROM idempotency_keys WHERE key = 'erased'`,
      [id],
    );
    expect(left).toEqual([]);
  });
});

describe('the logs', () => {
  it('hold no measure, and nothing unforeseen', () => {
    const lines = `${api.log()}${worker.log()}`.trim().split('\n');
    const events = lines.map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(events.map(({ event }) => event)).toEqual(
      expect.arrayContaining(['export.accepted', 'export.ready', 'export.failed']),
    );
    expect(events.filter(({ event, code }) => event === 'event.unnamed' || code === 'UNFORESEEN')).toEqual(
      [],
    );
    for (const { time: _time, durationMs: _duration, port: _port, ...event } of events)
      expect(JSON.stringify(event)).not.toMatch(/\b(740|1000|720|1040|765)\b/);
  });
});
