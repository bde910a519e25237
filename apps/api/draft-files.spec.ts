import { randomBytes } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import request from 'supertest';
import { openCutLine } from '../../test/support/cut-line.js';
import { fromBody } from '../../test/support/draft-requests.js';
import { eventually } from '../../test/support/eventually.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api.close());

async function postDraft(on: TestApi = api): Promise<string> {
  const response = await request(on.url)
    .post('/v1/drafts')
    .set(on.shop.as)
    .send(fromBody({}) as object);
  expect(response.status).toBe(202);
  return response.body.id as string;
}

describe('a file of a draft', () => {
  const content = randomBytes(100_000);
  let at: string;
  let tag: string;
  beforeAll(async () => {
    const id = await postDraft();
    await api.finishDraft(api.shop, id, { 'pattern.bin': content, 'proof.svg': Buffer.from('<svg/>') });
    const list = await request(api.url).get(`/v1/drafts/${id}/files`).set(api.shop.as);
    expect(list.body.items.map(({ name }: { name: string }) => name)).toEqual(['pattern.bin', 'proof.svg']);
    at = new URL(list.body.items[0].href).pathname;
    tag = `"${list.body.items[0].sha256}"`;
  });

  const get = (headers: Readonly<Record<string, string>> = {}) =>
    request(api.url).get(at).set(api.shop.as).set(headers).buffer(true).parse(readAll);

  it('comes as a whole, named by its content and never run by a browser', async () => {
    const response = await get();
    expect(response.status).toBe(200);
    expect(content.equals(response.body as Buffer)).toBe(true);
    expect(response.headers).toMatchObject({
      etag: tag,
      'accept-ranges': 'bytes',
      'content-length': '100000',
      'content-disposition': 'attachment; filename="pattern.bin"',
      'x-content-type-options': 'nosniff',
      'content-security-policy': expect.stringContaining('sandbox'),
    });
  });

  // RFC 9110 14.1.2: positions count from 0, both ends included; -N are the last N bytes.
  it.each([
    ['bytes=0-0', 0, 0],
    ['bytes=10-99', 10, 99],
    ['bytes=99990-', 99_990, 99_999],
    ['bytes=99990-200000', 99_990, 99_999],
    ['bytes=-5', 99_995, 99_999],
    ['bytes=-200000', 0, 99_999],
  ])('comes in part for %s', async (range, first, last) => {
    const response = await get({ Range: range });
    expect([response.status, response.headers['content-range']]).toEqual([
      206,
      `bytes ${first}-${last}/100000`,
    ]);
    expect(content.subarray(first, last + 1).equals(response.body as Buffer)).toBe(true);
  });

  it.each(['bytes=5-4', 'bytes=0-1,5-6', 'lines=1-2', 'bytes=x-', 'bytes=-'])(
    'comes as a whole for %s, which is no range we answer',
    async (range) => {
      expect((await get({ Range: range })).status).toBe(200);
    },
  );

  it.each(['bytes=100000-', 'bytes=100000-100001', 'bytes=-0'])('does not reach to %s', async (range) => {
    const response = await get({ Range: range });
    expect([response.status, response.headers['content-range']]).toEqual([416, 'bytes */100000']);
  });

  it('goes on only as the version that was begun', async () => {
    const same = await get({ Range: 'bytes=50000-', 'If-Range': tag });
    expect([same.status, (same.body as Buffer).length]).toEqual([206, 50_000]);
    for (const other of ['"other"', `W/${tag}`, 'Wed, 25 Nov 2026 10:00:00 GMT']) {
      expect((await get({ Range: 'bytes=50000-', 'If-Range': other })).status).toBe(200);
    }
  });

  it('is not sent again to whoever has it', async () => {
    for (const named of [tag, `"x", ${tag}`, `W/${tag}`, '*']) {
      expect((await get({ 'If-None-Match': named })).status).toBe(304);
    }
    expect((await get({ 'If-None-Match': '"x"' })).status).toBe(200);
  });

  it('tells size and version to HEAD, and sends nothing', async () => {
    const response = await request(api.url).head(at).set(api.shop.as);
    expect([response.status, response.headers['content-length'], response.headers['etag']]).toEqual([
      200,
      '100000',
      tag,
    ]);
    expect(response.text ?? '').toBe('');
  });

  it.each(['..%2f..%2fpackage.json', 'nope.svg', '%00'])('is not %s', async (name) => {
    const response = await request(api.url).get(at.replace('pattern.bin', name)).set(api.shop.as);
    expect(response.status).toBe(404);
  });
});

describe('the events of a draft', () => {
  it('tell each state as it comes and end with the draft', async () => {
    const id = await postDraft();
    const events = readEvents(`${api.url}/v1/drafts/${id}/events`, api.shop.as);
    await eventually(
      () => events.seen.length,
      (count) => count === 1,
      5_000,
    );
    await api.finishDraft(api.shop, id);
    await events.ended;
    expect(events.seen.at(0)).toMatchObject({ id: '1', event: 'draft', data: { id, state: 'accepted' } });
    expect(events.seen.at(-1)).toMatchObject({
      id: '4',
      event: 'draft',
      data: { id, state: 'ready', sequence: 4 },
    });
    const sequences = events.seen.map((event) => Number(event.id));
    expect(sequences).toEqual([...new Set(sequences)].sort((a, b) => a - b));
  });

  it('go on after the one that was seen last, and are over when that was the end', async () => {
    const id = await postDraft();
    await api.finishDraft(api.shop, id);
    const at = `${api.url}/v1/drafts/${id}/events`;
    const rest = readEvents(at, { ...api.shop.as, 'last-event-id': '2' });
    await rest.ended;
    expect(rest.seen.map((event) => event.id)).toEqual(['4']);
    expect((await fetch(at, { headers: { ...api.shop.as, 'last-event-id': '4' } })).status).toBe(204);
  });

  it('are followed by many at once, and no longer than anybody listens', async () => {
    const id = await postDraft();
    const hangUp = new AbortController();
    const gone = Array.from({ length: 20 }, () =>
      readEvents(`${api.url}/v1/drafts/${id}/events`, api.shop.as, hangUp.signal),
    );
    const staying = readEvents(`${api.url}/v1/drafts/${id}/events`, api.shop.as);
    await eventually(
      () => [...gone, staying].filter((one) => one.seen.length === 1).length,
      (count) => count === 21,
      10_000,
    );
    hangUp.abort();
    await Promise.allSettled(gone.map((one) => one.ended));
    await request(api.url).post(`/v1/drafts/${id}/cancel`).set(api.shop.as);
    await staying.ended;
    expect(staying.seen.at(-1)).toMatchObject({ data: { state: 'cancelled' } });
  });
});

describe('the service without its database', () => {
  it('answers 503 and comes back by itself', async () => {
    const line = await openCutLine();
    const cut = await startTestApi({ databaseUrl: (url) => line.through(url) });
    try {
      await postDraft(cut);
      line.cut();
      for (const [method, path] of [
        ['get', '/v1/drafts'],
        ['post', '/v1/drafts'],
      ] as const) {
        const sent = method === 'post' ? (fromBody({}) as object) : undefined;
        const asked = request(cut.url)[method](path);
        const response = await asked.set(cut.shop.as).send(sent);
        expect([response.status, response.body.code]).toEqual([503, 'SERVICE_UNAVAILABLE']);
        expect(response.headers['retry-after']).toBe('2');
        expect(response.text).not.toMatch(/ECONN|prisma|postgres/i);
      }
      const ready = await request(cut.url).get('/readyz');
      expect([ready.status, ready.body.checks.database]).toEqual([503, 'failed']);
      expect((await request(cut.url).get('/healthz')).status).toBe(200);
      line.mend();
      const id = await postDraft(cut);
      // The connection that hears of changes was cut too, and is had again.
      const events = readEvents(`${cut.url}/v1/drafts/${id}/events`, cut.shop.as);
      await cut.finishDraft(cut.shop, id);
      await events.ended;
      expect(events.seen.at(-1)).toMatchObject({ data: { state: 'ready' } });
    } finally {
      await cut.close();
      await line.close();
    }
  });
});

interface SentEvent {
  readonly id: string | undefined;
  readonly event: string | undefined;
  readonly data: unknown;
}

/** A reader of event streams by the HTML standard's rules (9.2.6), as far as the service uses them. */
function readEvents(url: string, headers: Readonly<Record<string, string>>, signal?: AbortSignal) {
  const seen: SentEvent[] = [];
  const read = async (): Promise<void> => {
    const response = await fetch(url, { headers, ...(signal === undefined ? {} : { signal }) });
    expect(response.headers.get('content-type')).toContain('text/event-stream');
    let text = '';
    for await (const part of response.body ?? []) {
      text += Buffer.from(part as Uint8Array).toString();
      const blocks = text.split('\n\n');
      text = blocks.pop() ?? '';
      for (const block of blocks) {
        const fields = Object.fromEntries(
          block.split('\n').map((line) => /^(\w*): ?(.*)$/.exec(line)?.slice(1) ?? []),
        );
        if (fields['data'] !== undefined)
          seen.push({ id: fields['id'], event: fields['event'], data: JSON.parse(fields['data']) });
      }
    }
  };
  return { seen, ended: read() };
}

function readAll(response: request.Response, done: (error: Error | null, body: Buffer) => void): void {
  // The parser is given the stream of the answer, whatever its type says.
  const stream = response as unknown as NodeJS.ReadableStream;
  const parts: Buffer[] = [];
  stream.on('data', (part: Buffer) => parts.push(part));
  stream.on('end', () => done(null, Buffer.concat(parts)));
}
