import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import { createClient } from 'graphql-ws';
import { Webhook } from 'standardwebhooks';
import request from 'supertest';
import { WebSocket } from 'ws';
import type { CheckAnswer } from '#contracts';
import { BLOCK } from '../../test/support/draft-requests.js';
import { eventually } from '../../test/support/eventually.js';
import { gradeTable, withGradeRules } from '../../test/support/grade-texts.js';
import { startReceiver, type Receiver } from '../../test/support/receiver.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';
import { startTestWorker, type TestWorker } from '../../test/support/test-worker.js';

jest.setTimeout(120_000);

const FAULTY = fileURLToPath(new URL('../../../examples/faulty-trouser.dxf', import.meta.url));
const LIMIT_BYTES = 400_000;

let api: TestApi;
let worker: TestWorker;
let receiver: Receiver;
let secret: string;
let faulty: Buffer;
/** The code of what the example is off by, which the check offers to correct. */
let offCode: string;

beforeAll(async () => {
  faulty = await readFile(FAULTY);
  receiver = await startReceiver((_request, response) => response.writeHead(204).end());
  const environment = {
    FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: receiver.address,
    FORKLINE_PUBLIC_URL: 'https://forkline.example',
    FORKLINE_PATTERN_BYTES_MAX: String(LIMIT_BYTES),
  };
  api = await startTestApi({ environment });
  worker = await startTestWorker(api, environment, { lostMs: 2_000 });
  const endpoint = await request(api.url)
    .post('/v1/webhook-endpoints')
    .set(api.shop.as)
    .send({ url: receiver.url, eventTypes: ['check.ready', 'check.needs_attention', 'check.cancelled'] });
  secret = endpoint.body.secret as string;
});
afterAll(async () => {
  await worker.close();
  await api.close();
  await receiver.close();
});

const upload = (file: Buffer | string = faulty, name = 'trouser.dxf') =>
  request(api.url)
    .post('/v1/checks')
    .set(api.shop.as)
    .set('Prefer', 'wait=30')
    .attach('file', Buffer.from(file), name);
const send = (json: object, headers: Readonly<Record<string, string>> = { Prefer: 'wait=30' }) =>
  request(api.url).post('/v1/checks').set(api.shop.as).set(headers).send(json);
const get = (path: string, as = api.shop.as) => request(api.url).get(path).set(as);

async function fileOf(id: string, name: string): Promise<Buffer> {
  const response = await get(`/v1/checks/${id}/files/${name}`)
    .buffer(true)
    .parse((stream, done) => {
      const parts: Buffer[] = [];
      stream.on('data', (part: Buffer) => parts.push(part));
      stream.on('end', () => done(null, Buffer.concat(parts)));
    });
  expect(response.status).toBe(200);
  return response.body as Buffer;
}

describe('a faulty pattern, as an integrator sends it', () => {
  it('needs attention, is announced, drawn, corrected when asked, and clean then', async () => {
    const { status, body } = await upload()
      .field('styleId', 'style-77')
      .field('versionId', '3')
      .field('reference', 'plm 4711');
    expect([status, body.state, body.name]).toEqual([201, 'needs_attention', 'trouser.dxf']);
    expect(body).toMatchObject({ styleId: 'style-77', versionId: '3', reference: 'plm 4711', correct: [] });
    expect(body.result).toMatchObject({ sewable: false, judged: 'trouser' });
    const [worst] = (body as CheckAnswer).result?.findings ?? [];
    expect(worst).toMatchObject({ number: 1, level: 'stop' });
    expect(worst?.correction).toBe(worst?.code);
    offCode = worst?.code ?? '';

    const [message] = await eventually(
      () => receiver.received.filter((received) => received.body.includes(body.id as string)),
      (found) => found.length > 0,
      10_000,
    );
    const said = new Webhook(secret).verify(message?.body ?? '', message?.headers as Record<string, string>);
    expect(said).toMatchObject({
      type: 'check.needs_attention',
      data: {
        check: body.id,
        reference: 'plm 4711',
        findingCounts: body.findingCounts,
        links: { files: `https://forkline.example/v1/checks/${body.id}/files` },
      },
    });
    const deliveries = await get(`/v1/deliveries?checkId=${body.id}`);
    expect(deliveries.body.items).toMatchObject([{ checkId: body.id, eventType: 'check.needs_attention' }]);

    const names = (await get(`/v1/checks/${body.id}/files`)).body.items.map(
      ({ name }: { name: string }) => name,
    );
    expect(names).toEqual(['manifest.json', 'original.dxf', 'sheet.pdf', 'sheet.svg', 'truing.json']);
    expect(await fileOf(body.id, 'original.dxf')).toEqual(faulty);
    expect((await fileOf(body.id, 'sheet.pdf')).subarray(0, 5).toString()).toBe('%PDF-');
    const truing = JSON.parse((await fileOf(body.id, 'truing.json')).toString());
    expect(truing.findings.map(({ code }: { code: string }) => code)).toContain(offCode);

    const again = await upload().field('correct', JSON.stringify([offCode]));
    expect([again.body.state, again.body.result.sewable]).toEqual(['ready', true]);
    expect(again.body.result.moved.length).toBeGreaterThan(0);
    const corrected = await fileOf(again.body.id, 'corrected.dxf');
    expect(corrected.equals(faulty)).toBe(false);
    expect(await fileOf(again.body.id, 'original.dxf')).toEqual(faulty);

    // What was corrected is clean when somebody sends it as a pattern of its own.
    const clean = await upload(corrected, 'corrected.dxf');
    expect([clean.body.state, clean.body.findingCounts.stop]).toEqual(['ready', 0]);
    const compared = await get(`/v1/checks/${clean.body.id}/comparison?with=${body.id}`);
    expect(compared.body).toMatchObject({ earlierId: body.id, laterId: clean.body.id, came: [] });
    expect(compared.body.went.map(({ code }: { code: string }) => code)).toContain(offCode);
    const other = await get(`/v1/checks/${clean.body.id}/comparison?with=${body.id}`, api.otherShop.as);
    expect(other.status).toBe(404);
  });

  it('is the same check however it comes, once for each key, in the same bytes each time', async () => {
    const key = { 'Idempotency-Key': 'check-1', Prefer: 'wait=30' };
    const dxf = faulty.toString('latin1');
    const first = await send({ dxf, name: 'a.dxf' }, key);
    const replayed = await send({ dxf, name: 'a.dxf' }, key);
    expect(replayed.body.id).toBe(first.body.id);
    expect(replayed.headers['idempotency-replayed']).toBe('true');
    expect((await send({ dxf: `${dxf}\n`, name: 'a.dxf' }, key)).status).toBe(422);
    const form = await upload(faulty, 'a.dxf');
    const hashes = async (id: string) =>
      (await get(`/v1/checks/${id}/files`)).body.items.map(({ sha256 }: { sha256: string }) => sha256);
    expect(await hashes(form.body.id)).toEqual(await hashes(first.body.id));
  });

  it('is listed, followed and cancelled over GraphQL in the same words', async () => {
    const query = `mutation ($request: CheckRequest!) { createCheck(request: $request) { id state } }`;
    const variables = { request: { dxf: faulty.toString('latin1'), styleId: 'style-graph', outputs: [] } };
    const made = await request(api.url).post('/graphql').set(api.shop.as).send({ query, variables });
    const { id } = made.body.data.createCheck as { id: string };
    const client = createClient({
      url: `${api.url.replace('http', 'ws')}/graphql`,
      webSocketImpl: WebSocket,
      connectionParams: api.shop.as,
      retryAttempts: 0,
    });
    const states: { state: string; result: unknown }[] = [];
    const follow = `subscription ($id: ID!) { checkProgress(id: $id) { state result { sewable } } }`;
    for await (const { data } of client.iterate<{ checkProgress: (typeof states)[number] }>({
      query: follow,
      variables: { id },
    }))
      if (data != null) states.push(data.checkProgress);
    await client.dispose();
    expect(states.at(-1)).toEqual({ state: 'NEEDS_ATTENTION', result: { sewable: false } });
    const list = await request(api.url).post('/graphql').set(api.shop.as).send({
      query: `{ checks(styleId: "style-graph") { items { id } } cancelled: checks(state: CANCELLED) { items { id } } }`,
    });
    expect(list.body.data.checks.items).toEqual([{ id }]);
    const cancel = await request(api.url).post(`/v1/checks/${id}/cancel`).set(api.shop.as);
    expect([cancel.status, cancel.body.code]).toEqual([409, 'STATE_CONFLICT']);
    const events = await fetch(`${api.url}/v1/checks/${id}/events`, { headers: api.shop.as });
    expect(await events.text()).toMatch(/event: check\ndata: .*"state":"needs_attention"/);
  });

  it('may be a block as JSON', async () => {
    const { body } = await send({ block: BLOCK, name: 'our block' });
    expect(['ready', 'needs_attention']).toContain(body.state);
    const names = (await get(`/v1/checks/${body.id}/files`)).body.items.map(
      ({ name }: { name: string }) => name,
    );
    expect(names).toEqual(['manifest.json', 'original.json', 'truing.json']);
    const corrected = await send({ block: BLOCK, correct: [offCode] });
    expect([corrected.status, corrected.body.errors[0].pointer]).toEqual([422, '/correct']);
  });
});

describe('rules of a shop and its customers', () => {
  const put = (name: string, json: object) =>
    request(api.url).put(`/v1/rules-profiles/${name}`).set(api.shop.as).send(json);
  const ignore = (until: string) => ({
    ignore: [{ code: offCode, until, reason: 'Sewn with ease at this maker.' }],
  });

  it('weigh findings, ignore them to a day, and are kept as they were', async () => {
    expect((await put('maison-a', ignore('2026-06-30'))).body).toMatchObject({
      name: 'maison-a',
      version: 1,
    });
    const judge = async (dated: string, profile?: string) =>
      (
        await upload()
          .field('dated', dated)
          .field('profile', profile ?? '')
          .field('outputs', '[]')
      ).body as CheckAnswer;
    const during = await judge('2026-06-30', 'maison-a');
    expect([during.state, during.profiles, during.judgedOn]).toEqual([
      'ready',
      [{ name: 'maison-a', version: 1 }],
      '2026-06-30',
    ]);
    const rule = { by: 'ignored', was: 'stop', until: '2026-06-30', reason: 'Sewn with ease at this maker.' };
    expect(during.result?.findings).toContainEqual(
      expect.objectContaining({ code: offCode, level: 'info', rule }),
    );
    const after = await judge('2026-07-01', 'maison-a');
    expect(after.state).toBe('needs_attention');
    expect(after.result?.findings.map(({ code }) => code)).toContain('IGNORE_OVER');
    expect((await judge('2026-06-30')).state).toBe('needs_attention');

    // The shop's own applies to every check; the customer's lies over it.
    await put('shop', { severities: [{ code: offCode, level: 'warning' }] });
    expect((await judge('2027-01-01')).state).toBe('ready');
    await put('maison-a', {
      severities: [{ code: offCode, level: 'stop' }],
      tolerances: { seamPair: '1 mm' },
    });
    const strict = await judge('2027-01-01', 'maison-a');
    expect([strict.state, strict.profiles]).toEqual([
      'needs_attention',
      [
        { name: 'shop', version: 1 },
        { name: 'maison-a', version: 2 },
      ],
    ]);
    expect((await request(api.url).delete('/v1/rules-profiles/shop').set(api.shop.as)).status).toBe(204);
    const kept = await get(`/v1/checks/${strict.id}`);
    expect(kept.body.profiles).toEqual(strict.profiles);
  });

  it('are read with every problem at once, put by many at once, and seen by one shop', async () => {
    const wrong = await put('maison-b', {
      tolerances: { seamPair: 'wide' },
      severities: [
        { code: 'NOTCH_OFF', level: 'fatal' },
        { code: 'NOTCH_OFF', level: 'stop' },
      ],
      ignore: [{ code: 'x', until: '2026-02-30' }],
    });
    expect(wrong.status).toBe(422);
    expect(wrong.body.errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual([
      '/ignore/0/code',
      '/ignore/0/reason',
      '/ignore/0/until',
      '/severities/0/level',
      '/severities/1/code',
      '/tolerances/seamPair',
    ]);
    const together = await Promise.all(Array.from({ length: 8 }, () => put('maison-c', {})));
    expect(together.map(({ status }) => status)).toEqual(Array(8).fill(200));
    expect((await get('/v1/rules-profiles/maison-c')).body.version).toBe(8);
    expect((await get('/v1/rules-profiles/maison-c', api.otherShop.as)).status).toBe(404);
    const unknown = await upload().field('profile', 'nobody');
    expect([unknown.status, unknown.body.errors[0].pointer]).toEqual([422, '/profile']);
  });
});

describe('a grade rule table beside the pattern', () => {
  const ruled = () =>
    withGradeRules(faulty.toString('latin1'), ({ layer }) => (layer === '2' ? '1' : undefined));
  const table = gradeTable(['MTM', 'L'], 'MTM', { 1: [[0, 0], [6, 2]] }); // prettier-ignore
  const codesOf = (body: CheckAnswer): string[] => body.result?.findings.map(({ code }) => code) ?? [];

  it('makes the size asked for, sent as text, as a file or in JSON', async () => {
    const settings = { size: 'L' };
    const answers = [
      await upload(ruled()).field('settings', JSON.stringify(settings)).field('gradeRules', table),
      await upload(ruled())
        .field('settings', JSON.stringify(settings))
        .attach('gradeRules', Buffer.from(table), 'style.rul'),
      await send({ dxf: ruled(), settings, gradeRules: table }),
    ];
    for (const { status, body } of answers) {
      expect(status).toBe(201);
      expect(codesOf(body as CheckAnswer)).toEqual(expect.arrayContaining(['GRADED_BY_RULES', offCode]));
    }
    expect(codesOf((await upload(ruled())).body as CheckAnswer)).toContain('GRADE_TABLE_NOT_SENT');
  });

  it.each([
    ['with characters that stand for nothing', `${table}\u0000`, 'WRONG_TYPE'],
    ['that is empty', '  ', 'WRONG_TYPE'],
    ['that is no text', { rule: 1 }, 'WRONG_TYPE'],
    ['that is too long', 'x'.repeat(300_000), 'TEXT_TOO_LONG'],
  ])('%s is refused', async (_, gradeRules, code) => {
    const { status, body } = await send({ dxf: ruled(), gradeRules });
    expect([status, body.errors]).toEqual([422, [expect.objectContaining({ pointer: '/gradeRules', code })]]);
  });

  it('is refused beside a block', async () => {
    const { status, body } = await send({ block: BLOCK, gradeRules: table });
    expect([status, body.errors[0]]).toMatchObject([422, { pointer: '/gradeRules', code: 'NOT_AVAILABLE' }]);
  });
});

describe('what is no pattern', () => {
  const BOUNDARY = 'b0undary';
  const raw = (body: string, type = `multipart/form-data; boundary=${BOUNDARY}`) =>
    fetch(`${api.url}/v1/checks`, {
      method: 'POST',
      headers: { ...api.shop.as, 'content-type': type },
      body,
    });
  const part = (name: string, text: string) =>
    `--${BOUNDARY}\r\nContent-Disposition: form-data; name="${name}"\r\n\r\n${text}\r\n`;

  it('is refused in words, whatever is wrong at once', async () => {
    const { status, body } = await upload('PK\x03\x04 packed')
      .field('settings', '{"tolerances": {"seamPair": -1}, "units": "furlong"')
      .field('correct', '["small"]')
      .field('dated', '2026-13-01')
      .field('colour', 'red');
    expect(status).toBe(422);
    expect(body.errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual([
      '/colour',
      '/correct/0',
      '/dated',
      '/file',
      '/settings/units',
    ]);
    for (const one of body.errors) expect(one).toMatchObject({ found: /./, allowed: /./, detail: /./ });
    expect((await send({})).body.errors[0]).toMatchObject({ pointer: '/dxf', code: 'MISSING' });
    expect((await send({ dxf: '  ', block: {} })).status).toBe(422);
    const deep = await upload().field('settings', `${'['.repeat(20_000)}${']'.repeat(20_000)}`);
    expect([deep.status, deep.body.errors[0].code]).toEqual([422, 'TOO_DEEP']);
  });

  it.each([
    ['a form without its end', () => raw(`${part('name', 'x')}--${BOUNDARY}\r\nContent-Disp`), 400],
    ['a form without boundary', () => raw(part('name', 'x'), 'multipart/form-data'), 400],
    ['a form with another boundary', () => raw(part('name', 'x').replaceAll(BOUNDARY, 'other')), 400],
    ['a file sent as text', () => raw(`${part('file', '0\nSECTION')}--${BOUNDARY}--\r\n`), 422],
    ['many parts', () => raw(`${part('name', 'x').repeat(500)}--${BOUNDARY}--\r\n`), 413],
    ['a file by itself', () => raw('0\nSECTION', 'image/vnd.dxf'), 415],
    ['a huge list by one name', () => raw(`${part('correct[999999999]', 'x')}--${BOUNDARY}--\r\n`), 422],
  ])('%s is refused', async (_what, ask, status) => {
    const response = await ask();
    expect(response.status).toBe(status);
    expect(response.headers.get('content-type')).toMatch(/^application\/problem\+json/);
    expect(await response.text()).not.toMatch(/node_modules|\.js:\d/);
  });

  it('is refused when it is too large, and leaves nothing behind', async () => {
    const stored = async (): Promise<number> => {
      let count = 0;
      for await (const _ of api.store.list(new Date(Date.now() + 86_400_000))) count += 1;
      return count;
    };
    const before = await stored();
    const large = await upload('9'.repeat(LIMIT_BYTES + 1));
    expect([large.status, large.body.code]).toEqual([413, 'REQUEST_TOO_LARGE']);
    expect(await stored()).toBe(before);
    // 200 MB on one line, of which no more is held than a piece at a time.
    const heapMb = (): number => process.memoryUsage().rss / 2 ** 20;
    const startMb = heapMb();
    let highestMb = startMb;
    const line = new ReadableStream({
      start: (sink) =>
        sink.enqueue(
          Buffer.from(
            `--${BOUNDARY}\r\nContent-Disposition: form-data; name="file"; filename="a.dxf"\r\n\r\n`,
          ),
        ),
      pull: (sink) => {
        highestMb = Math.max(highestMb, heapMb());
        sentMb += 1;
        if (sentMb > 200) sink.close();
        else sink.enqueue(MEGABYTE);
      },
    });
    let sentMb = 0;
    const response = await fetch(`${api.url}/v1/checks`, {
      method: 'POST',
      headers: { ...api.shop.as, 'content-type': `multipart/form-data; boundary=${BOUNDARY}` },
      body: line,
      duplex: 'half',
    });
    expect(response.status).toBe(413);
    expect(highestMb - startMb).toBeLessThan(120);
  });

  const MEGABYTE = Buffer.alloc(2 ** 20, '9');

  it.each([
    ['not a number', (text: string) => text.replace(/\n 10\r?\n[^\n]*/, '\n 10\nNaN')],
    ['a line that does not end', (text: string) => text.replace('ENTITIES', 'X'.repeat(200_000))],
    ['cut in the middle', (text: string) => text.slice(0, text.length / 2)],
  ])('text that cannot be read as a pattern (%s) ends as a check that says so', async (_what, spoil) => {
    const { status, body } = await upload(spoil(faulty.toString('latin1'))).field('outputs', '[]');
    expect([status, body.state]).toEqual([201, 'needs_attention']);
    expect(body.findingCounts.stop).toBeGreaterThan(0);
  });
});

describe('a check whose worker is away', () => {
  it('can be cancelled, and stays so', async () => {
    const alone = await startTestApi();
    const asked = await request(alone.url)
      .post('/v1/checks')
      .set(alone.shop.as)
      .attach('file', faulty, 'a.dxf');
    expect([asked.status, asked.body.state]).toEqual([202, 'accepted']);
    const path = `/v1/checks/${asked.body.id}`;
    const comparison = await request(alone.url)
      .get(`${path}/comparison?with=${asked.body.id}`)
      .set(alone.shop.as);
    expect([comparison.status, comparison.body.code]).toEqual([409, 'STATE_CONFLICT']);
    for (let i = 0; i < 2; i++) {
      const { status, body } = await request(alone.url).post(`${path}/cancel`).set(alone.shop.as);
      expect([status, body.state]).toEqual([200, 'cancelled']);
    }
    await alone.close();
  });
});
