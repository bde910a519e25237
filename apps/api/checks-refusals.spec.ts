import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import request from 'supertest';
import { CORRECTION_CODES } from '#checking';
import type { CheckAnswer, FieldProblem } from '#contracts';
import { RulesProfileRepository } from '#persistence';
import { eventually } from '../../test/support/eventually.js';
import { startReceiver, type Receiver } from '../../test/support/receiver.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';
import { startTestWorker, type TestWorker } from '../../test/support/test-worker.js';

jest.setTimeout(120_000);

// What somebody met who had the documents alone.
const FAULTY = fileURLToPath(new URL('../../../examples/faulty-trouser.dxf', import.meta.url));
const FILE_BYTES_MAX = 700_000;
const JSON_BYTES_MAX = 600_000;

let api: TestApi;
let worker: TestWorker;
let receiver: Receiver;
let dxf: string;

beforeAll(async () => {
  dxf = await readFile(FAULTY, 'latin1');
  receiver = await startReceiver((_request, response) => response.writeHead(204).end());
  const environment = {
    FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: receiver.address,
    FORKLINE_PATTERN_BYTES_MAX: String(FILE_BYTES_MAX),
    FORKLINE_REQUEST_BYTES_MAX: String(JSON_BYTES_MAX),
  };
  api = await startTestApi({ environment });
  worker = await startTestWorker(api, environment, { lostMs: 2_000 });
  await request(api.url)
    .post('/v1/webhook-endpoints')
    .set(api.shop.as)
    .send({ url: receiver.url, eventTypes: [] });
});
afterAll(async () => {
  await worker.close();
  await api.close();
  await receiver.close();
});

const send = (json: object, headers: Readonly<Record<string, string>> = {}) =>
  request(api.url)
    .post('/v1/checks')
    .set(api.shop.as)
    .set({ Prefer: 'wait=30', ...headers })
    .send(json);
const upload = (file: Buffer | string) =>
  request(api.url).post('/v1/checks').set(api.shop.as).attach('file', Buffer.from(file), 'a.dxf');
const put = (name: string, json: object) =>
  request(api.url).put(`/v1/rules-profiles/${name}`).set(api.shop.as).send(json);
const get = (path: string) => request(api.url).get(path).set(api.shop.as);
const problemsOf = ({ body }: { readonly body: unknown }): readonly FieldProblem[] =>
  (body as { errors?: readonly FieldProblem[] }).errors ?? [];
const pointersOf = (answer: { readonly body: unknown }): string[] =>
  problemsOf(answer)
    .map(({ pointer }) => pointer)
    .sort();

describe('a code that no check gives', () => {
  it('is refused in a profile with the nearest that is given, and known ones are taken', async () => {
    const answer = await put('typed', {
      severities: [
        { code: 'NOTCH_OF', level: 'stop' },
        { code: 'NOTCH_OFF', level: 'stop' },
      ],
      ignore: [
        { code: 'TOTAL_NONSENSE', until: '2999-01-01', reason: 'typo' },
        { code: 'curve unfair', until: '2999-01-01', reason: 'typo' },
      ],
    });
    expect([answer.status, pointersOf(answer)]).toEqual([
      422,
      ['/ignore/0/code', '/ignore/1/code', '/severities/0/code'],
    ]);
    const [small, severity, ignored] = problemsOf(answer);
    expect(small.detail).toContain('Did you mean "CURVE_UNFAIR"?');
    expect(severity.detail).toBe(
      'severities[0].code is "NOTCH_OF", which no check gives. Did you mean "NOTCH_OFF"?',
    );
    expect(ignored.detail).toContain('docs/checking.md');
    expect((await put('typed', { severities: [{ code: 'NOTCH_OFF', level: 'stop' }] })).status).toBe(200);
  });

  it('is refused as a correction, and one that is never corrected too, with those that are', async () => {
    const answer = await send({ dxf, correct: ['FIX_ALL', 'NOTCH_OFF', 'inseam_mismatch', 'FORK_ANGLE'] });
    expect([answer.status, pointersOf(answer)]).toEqual([422, ['/correct/0', '/correct/1', '/correct/2']]);
    const [all, found, typed] = problemsOf(answer);
    for (const code of CORRECTION_CODES) {
      expect(all.detail).toContain(code);
      expect(found.detail).toContain(code);
    }
    expect(typed.detail).toContain('Did you mean "INSEAM_MISMATCH"?');
  });

  it('of a profile that was stored before is read, and matches nothing', async () => {
    const name = 'of-old';
    expect((await put(name, { tolerances: { notch: 2 } })).status).toBe(200);
    const content = {
      tolerances: {},
      severities: [{ code: 'LONG_GONE', level: 'stop' }],
      ignore: [{ code: 'GONE_TOO', until: '2999-01-01', reason: 'x' }],
    };
    await api.db.database.unitOfWork.run((tx) =>
      new RulesProfileRepository().put(tx, api.shop.id, { name, content, now: new Date() }),
    );
    const seen = await get(`/v1/rules-profiles/${name}`);
    expect(seen.body).toMatchObject({ version: 2, ...content });
    const checked = await send({ dxf, profile: name });
    expect([checked.status, checked.body.state]).toEqual([201, 'needs_attention']);
  });

  it('that this pattern does not need is warned of, with those that are offered', async () => {
    const { body } = await send({ dxf, correct: ['OUTSEAM_MISMATCH'], outputs: [] });
    const { findings, corrections } = (body as CheckAnswer).result ?? { findings: [], corrections: [] };
    const said = findings.find(({ code }) => code === 'CORRECTION_NOT_OFFERED');
    expect(corrections.length).toBeGreaterThan(0);
    for (const { code } of corrections) expect(said?.message).toContain(code);
  });
});

describe('a request that is wrong in several ways', () => {
  it('says a piece that is said twice', async () => {
    const kinds = [
      { piece: 'FRONT', kind: 'front' },
      { piece: 'FRONT', kind: 'back' },
    ];
    const answer = await send({ dxf, settings: { kinds } });
    expect(problemsOf(answer)).toMatchObject([{ pointer: '/settings/kinds/1/piece', code: 'CONFLICT' }]);
    const form = await upload(dxf).field('settings', JSON.stringify({ kinds }));
    expect(pointersOf(form)).toEqual(['/settings/kinds/1/piece']);
  });

  it('says all of it at once, the pattern and the profile among it', async () => {
    const binary = '\u0000\u0001\u0002'.repeat(100);
    const wrong = { dxf: binary, colour: 1, settings: 3, profile: 'nope', correct: ['FIX_ALL'] };
    const all = ['/colour', '/correct/0', '/dxf', '/profile', '/settings'];
    expect(pointersOf(await send(wrong))).toEqual(all);
    const form = await upload(binary)
      .field('colour', '1')
      .field('settings', '3')
      .field('profile', 'nope')
      .field('correct', '["FIX_ALL"]');
    expect(pointersOf(form)).toEqual(all.map((one) => (one === '/dxf' ? '/file' : one)).sort());
    const known = await send({ dxf, colour: 1, profile: 'typed' });
    expect(pointersOf(known)).toEqual(['/colour']);
  });

  it('knows the part file, and says objects and counts as they are', async () => {
    const answer = await upload(dxf).field('colour', '1').field('settings', '3');
    const said = Object.fromEntries(problemsOf(answer).map(({ pointer, allowed }) => [pointer, allowed]));
    expect(said['/colour']?.split(', ')).toContain('file');
    expect(said['/settings']).toMatch(/^an object with any of units, /);
  });

  it.each([
    ['other words', 'hello world', /begins with no group code/],
    ['UTF-16 with a mark', Buffer.from(`\ufeff0\r\nSECTION\r\n`, 'utf16le'), /UTF-16/],
    ['UTF-16 without one', Buffer.from(`0\r\nSECTION\r\n`, 'utf16le'), /UTF-16/],
    ['a DWG', Buffer.from('AC1032\0\0\0\0', 'latin1'), /a DWG/],
  ])('calls a file of %s what it is', async (_what, file, words) => {
    const answer = await upload(file);
    expect(problemsOf(answer)).toEqual([
      expect.objectContaining({ pointer: '/file', found: expect.stringMatching(words) as unknown }),
    ]);
  });

  it.each([
    ['a byte order mark', '\ufeff'],
    ['a comment', '999\r\nmade by hand\r\n'],
    ['blanks', '  '],
  ])('takes a DXF with %s in front', async (_what, front) => {
    const { status } = await send({ dxf: front + dxf, outputs: [] });
    expect(status).toBe(201);
  });

  it('that is too large says how large it is, in which part, and which door takes more', async () => {
    const json = await send({ dxf: '9'.repeat(JSON_BYTES_MAX) });
    expect(json.status).toBe(413);
    expect(problemsOf(json)).toMatchObject([{ in: 'body', pointer: '', code: 'TOO_LARGE' }]);
    expect(problemsOf(json)[0]?.found).toMatch(/^6000\d\d bytes$/);
    expect(json.body.detail).toContain(`multipart/form-data, where ${FILE_BYTES_MAX} bytes`);
    const file = await upload('9'.repeat(FILE_BYTES_MAX + 1));
    expect([file.status, problemsOf(file)]).toEqual([413, [expect.objectContaining({ pointer: '/file' })]]);
    const part = await upload(dxf).field('settings', ' '.repeat(300_000));
    expect([part.status, problemsOf(part)]).toEqual([
      413,
      [expect.objectContaining({ pointer: '/settings', allowed: 'at most 262144 bytes' })],
    ]);
    const other = await put('large', { reason: '9'.repeat(JSON_BYTES_MAX) });
    expect(other.body.detail).not.toContain('multipart');
  });

  it('has a key that another request had', async () => {
    const key = { 'Idempotency-Key': 'refused-1', Prefer: 'wait=0' };
    await send({ dxf, outputs: [] }, key);
    const answer = await send({ dxf, outputs: ['svg'] }, key);
    expect([answer.status, answer.body.code]).toEqual([422, 'IDEMPOTENCY_KEY_REUSED']);
    expect(problemsOf(answer)).toMatchObject([
      { in: 'header', pointer: '/Idempotency-Key', code: 'CONFLICT' },
    ]);
  });
});

describe('a rules profile', () => {
  it('with a name that is none is refused with those that are, and not found when it is looked for', async () => {
    const answer = await put('Maison_A', { colour: 1 });
    expect(answer.status).toBe(422);
    expect(problemsOf(answer)).toMatchObject([
      { in: 'path', pointer: '/name', allowed: '1 to 64 small letters, digits and dashes' },
      { in: 'body', pointer: '/colour' },
    ]);
    expect((await get('/v1/rules-profiles/Maison_A')).status).toBe(404);
  });

  it('says which of what it ignores is over, and is taken back as it was answered', async () => {
    const ignore = [
      { code: 'CURVE_UNFAIR', piece: 'back', until: '2025-01-31', reason: 'old' },
      { code: 'CURVE_UNFAIR', piece: 'front', until: '2999-01-31', reason: 'new' },
    ];
    const { status, body } = await put('ending', { ignore });
    const [over, still] = ignore;
    expect([status, body.ignore]).toEqual([200, [{ ...over, hasEnded: true }, still]]);
    const again = await put('ending', { ignore: body.ignore as object[] });
    expect([again.status, again.body.ignore]).toEqual([200, body.ignore]);
    expect((await get('/v1/rules-profiles/ending')).body.ignore).toEqual(body.ignore);
  });

  it('is named as the basis of a finding whose tolerance it gave, as is the request', async () => {
    await put('strict', { tolerances: { seamPair: '0.01 mm', level: 0.01, square: 0.5, corner: 0.01 } });
    const checked = await send({
      dxf,
      profile: 'strict',
      settings: { tolerances: { square: 0.2 } },
      outputs: [],
    });
    const { findings = [] } = (checked.body as CheckAnswer).result ?? {};
    const basisOf = (wanted: RegExp): Set<string> =>
      new Set(findings.filter(({ code }) => wanted.test(code)).map(({ basis }) => basis));
    expect(basisOf(/^CENTRE_(FRONT|BACK)_WAIST_ANGLE$/)).toEqual(new Set(['as the request says']));
    expect(basisOf(/^(FORK_ANGLE|SIDE_WAIST_ANGLE|SIDE_HEM_ANGLE|INSEAM_HEM_ANGLE)$/)).toEqual(
      new Set(['as the profile strict says']),
    );
    const plain = (await send({ dxf, outputs: [] })).body as CheckAnswer;
    expect(plain.result?.findings.map(({ basis }) => basis)).toContain('common practice, no source');
  });
});

describe('a check that has ended', () => {
  it('says what moved of which piece, has no progress, and its webhook names style and version', async () => {
    const first = (await send({ dxf, styleId: 'style-9', versionId: 'v-1', outputs: [] }))
      .body as CheckAnswer;
    expect(first.progress).toBeUndefined();
    const [message] = await eventually(
      () => receiver.received.filter(({ body }) => body.includes(first.id)),
      (found) => found.length > 0,
      10_000,
    );
    expect(JSON.parse(message?.body ?? '{}')).toMatchObject({
      data: { check: first.id, styleId: 'style-9', versionId: 'v-1' },
    });

    const correct = [...new Set(first.result?.corrections.map(({ code }) => code))];
    const second = (await send({ dxf, styleId: 'style-9', versionId: 'v-2', correct })).body as CheckAnswer;
    const moved = second.result?.moved ?? [];
    expect(moved.length).toBeGreaterThan(0);
    for (const one of moved) expect(['front', 'back']).toContain(one.piece);
    const file = await get(`/v1/checks/${second.id}/files/truing.json`).buffer(true);
    const whole = JSON.parse(file.text) as { readonly moved: typeof moved };
    expect(moved.map(({ operation, piece, part }) => ({ operation, piece, part }))).toEqual(
      whole.moved.map(({ operation, piece, part }) => ({ operation, piece, part })),
    );

    const listed = await get('/v1/checks?styleId=style-9&versionId=v-2');
    expect(listed.body.items.map(({ id }: { id: string }) => id)).toEqual([second.id]);
    const asked = await request(api.url)
      .post('/graphql')
      .set(api.shop.as)
      .send({
        query: `{ checks(versionId: "v-1") { items { id } } check(id: "${second.id}") { result { moved { piece beforeMm afterMm } } } }`,
      });
    expect(asked.body.data.checks.items).toEqual([{ id: first.id }]);
    expect(asked.body.data.check.result.moved).toHaveLength(moved.length);
  });

  it('cannot be cancelled, and says where what came of it is', async () => {
    const { body } = await send({ dxf, outputs: [] });
    const answer = await request(api.url).post(`/v1/checks/${body.id}/cancel`).set(api.shop.as);
    expect([answer.status, answer.body.detail]).toEqual([
      409,
      expect.stringContaining(`/v1/checks/${body.id}`),
    ]);
  });

  it('says which of two that are compared is not there', async () => {
    const { body } = await send({ dxf, outputs: [] });
    const none = `${(body.id as string).slice(0, -3)}000`;
    const other = await get(`/v1/checks/${body.id}/comparison?with=${none}`);
    expect([other.status, problemsOf(other)]).toEqual([
      404,
      [expect.objectContaining({ in: 'query', pointer: '/with', code: 'NOT_FOUND' })],
    ]);
    const itself = await get(`/v1/checks/${none}/comparison?with=${body.id}`);
    expect([itself.status, itself.body.errors]).toEqual([404, undefined]);
    expect(itself.body.detail).toContain('the address');
  });
});
