import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import { createClient } from 'graphql-ws';
import { Webhook } from 'standardwebhooks';
import request from 'supertest';
import { WebSocket } from 'ws';
import type { MarkerAnswer } from '#contracts';
import type { Marker, MarkerRequest } from '#marker';
import { layoutOpinions } from '../../test/support/check-layout.js';
import { BODY, fromBody } from '../../test/support/draft-requests.js';
import { eventually } from '../../test/support/eventually.js';
import { freePort } from '../../test/support/free-port.js';
import { describeWith, SHAPELY } from '../../test/support/needs.js';
import { startReceiver, type Receiver } from '../../test/support/receiver.js';
import { startServiceProcess } from '../../test/support/service-process.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';
import { startTestWorker, type TestWorker } from '../../test/support/test-worker.js';

jest.setTimeout(180_000);

const CLOTH = { name: 'denim', width: '150 cm', gap: 2, nap: 'per-garment', pricePerMetre: 20 };

let api: TestApi;
let worker: TestWorker;
let receiver: Receiver;
let secret: string;
/** Ready drafts of three bodies, the first with cut pieces of its own. */
let drafts: readonly string[];

beforeAll(async () => {
  receiver = await startReceiver((_request, response) => response.writeHead(204).end());
  const environment = {
    FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: receiver.address,
    FORKLINE_PUBLIC_URL: 'https://forkline.example',
  };
  api = await startTestApi({ environment });
  worker = await startTestWorker(api, environment, { lostMs: 2_000 });
  const endpoint = await request(api.url)
    .post('/v1/webhook-endpoints')
    .set(api.shop.as)
    .send({
      url: receiver.url,
      eventTypes: ['marker.ready', 'marker.needs_attention', 'marker.failed', 'marker.cancelled'],
    });
  secret = endpoint.body.secret as string;
  drafts = [await makeDraft('one', 740, ['dxf']), await makeDraft('two', 820), await makeDraft('three', 690)];
});
afterAll(async () => {
  await worker.close();
  await api.close();
  await receiver.close();
});

async function makeDraft(
  ref: string,
  waistGirth: number,
  outputs: readonly string[] = [],
  on: TestApi = api,
): Promise<string> {
  const measures = { ...BODY.measures, waistGirth, hipGirth: waistGirth + 260 };
  const json = fromBody({ body: { ...BODY, ref, measures }, outputs });
  const asked = request(on.url).post('/v1/drafts').set(on.shop.as).set('Prefer', 'wait=30');
  const { body } = await asked.send(json as object);
  expect(body.state).toBe('ready');
  return body.id as string;
}

const each = (ids: readonly string[]) => ids.map((draftId) => ({ draftId }));

const lay = (json: object, headers: Readonly<Record<string, string>> = { Prefer: 'wait=30' }) =>
  request(api.url).post('/v1/markers').set(api.shop.as).set(headers).send(json);

const find = async (id: string): Promise<MarkerAnswer> =>
  (await request(api.url).get(`/v1/markers/${id}`).set(api.shop.as)).body as MarkerAnswer;

async function fileOf(id: string, name: string): Promise<Buffer> {
  const at = request(api.url).get(`/v1/markers/${id}/files/${name}`).set(api.shop.as);
  const response = await at.buffer(true).parse((stream, done) => {
    const parts: Buffer[] = [];
    stream.on('data', (part: Buffer) => parts.push(part));
    stream.on('end', () => done(null, Buffer.concat(parts)));
  });
  expect(response.status).toBe(200);
  return response.body as Buffer;
}

async function ended(id: string): Promise<MarkerAnswer> {
  return eventually(
    () => find(id),
    ({ finishedAt }) => finishedAt !== undefined,
    60_000,
  );
}

interface WrittenMarker {
  readonly rules: MarkerRequest['cloth'];
  readonly length: number;
  readonly pieces: MarkerRequest['pieces'];
  readonly placements: readonly (Omit<Marker['placements'][number], 'garment'> & {
    readonly garment: number;
  })[];
}

describe('a marker of several drafts', () => {
  it('is laid by work, with figures and files, the same bytes each time', async () => {
    const order = {
      drafts: each(drafts),
      cloths: [CLOTH],
      work: 60,
      reference: 'cut 17',
      dated: '2026-03-02',
    };
    const { status, body, headers } = await lay(order);
    expect([status, body.state, body.reference, body.work]).toEqual([201, 'ready', 'cut 17', 60]);
    expect(headers['location']).toBe(body.links.self);
    const [marker] = body.result.markers;
    expect(body.result).toMatchObject({ endedBy: 'budget', left: [], remnants: [] });
    expect(marker).toMatchObject({ cloth: 'denim', garments: ['one', 'two', 'three'] });
    // Facts of any marker: area over area, length over garments, price by the metre, and no shorter than its bound.
    expect(marker.utilisation).toBeCloseTo(marker.pieceAreaMm2 / (1500 * marker.lengthMm), 9);
    expect(marker.lengthPerGarmentMm).toBeCloseTo(marker.lengthMm / 3, 9);
    expect(marker.cost).toBeCloseTo((20 * marker.lengthMm) / 1000, 9);
    expect(marker.lengthMm).toBeGreaterThanOrEqual(marker.lowerBoundMm);
    const again = await lay({ ...order, reference: 'cut 17' });
    expect(again.body.id).not.toBe(body.id);
    const names = async (id: string) =>
      (await request(api.url).get(`/v1/markers/${id}/files`).set(api.shop.as)).body.items as {
        name: string;
        sha256: string;
      }[];
    const [first, second] = [await names(body.id), await names(again.body.id)];
    expect(first.map(({ name }) => name)).toEqual([
      'manifest.json',
      'marker.json',
      'marker.pdf',
      'marker.svg',
    ]);
    expect(second.map(({ sha256 }) => sha256)).toEqual(first.map(({ sha256 }) => sha256));
  });

  it('writes every output that is asked for', async () => {
    const outputs = ['svg', 'pdf', 'sheet', 'dxf', 'plot'];
    const { body } = await lay({ drafts: each([drafts[0] ?? '']), cloths: [CLOTH], work: 1, outputs });
    const files = await request(api.url).get(`/v1/markers/${body.id}/files`).set(api.shop.as);
    expect(files.body.items.map(({ name }: { name: string }) => name)).toEqual([
      'manifest.json',
      'marker-sheet.pdf',
      'marker.dxf',
      'marker.json',
      'marker.pdf',
      'marker.plt',
      'marker.svg',
    ]);
    expect((await fileOf(body.id, 'marker.dxf')).toString()).toMatch(/EOF\s*$/);
  });

  it('is laid for as long as asked, told of while it is, and announced by a signed webhook', async () => {
    const { status, body } = await lay(
      { drafts: each(drafts), cloths: [CLOTH], seconds: 2, reference: 'cut 18' },
      {},
    );
    expect([status, body.state, body.seconds]).toEqual([202, 'accepted', 2]);
    const response = await fetch(`${api.url}/v1/markers/${body.id}/events`, { headers: api.shop.as });
    const events = (await response.text()).split('\n\n').flatMap((block) => {
      const data = /^data: (.*)$/m.exec(block)?.[1];
      return data === undefined ? [] : [JSON.parse(data) as MarkerAnswer];
    });
    const shortened = events.filter(({ progress }) => progress?.stage === 'shortening');
    expect(shortened.length).toBeGreaterThan(1);
    expect(shortened[0]?.progress?.lengthMm).toBeGreaterThan(0);
    expect(events.at(-1)).toMatchObject({ state: 'ready', result: { endedBy: 'budget' } });
    const [message] = await eventually(
      () => receiver.received.filter((received) => received.body.includes(body.id as string)),
      (found) => found.length > 0,
      10_000,
    );
    const said = new Webhook(secret).verify(message?.body ?? '', message?.headers as Record<string, string>);
    expect(said).toMatchObject({
      type: 'marker.ready',
      data: {
        marker: body.id,
        reference: 'cut 18',
        state: 'ready',
        links: { files: `https://forkline.example/v1/markers/${body.id}/files` },
      },
    });
    const deliveries = await request(api.url).get(`/v1/deliveries?markerId=${body.id}`).set(api.shop.as);
    expect(deliveries.body.items).toMatchObject([{ markerId: body.id, eventType: 'marker.ready' }]);
    expect(deliveries.body.items[0]).not.toHaveProperty('draftId');
  });

  it('is followed over GraphQL, and answered there in the same words', async () => {
    const client = createClient({
      url: `${api.url.replace('http', 'ws')}/graphql`,
      webSocketImpl: WebSocket,
      connectionParams: api.shop.as,
      retryAttempts: 0,
    });
    const query = `mutation ($request: MarkerRequest!) { createMarker(request: $request) { id state seed } }`;
    const variables = { request: { drafts: each([drafts[1] ?? '']), cloths: [CLOTH], seconds: 1, seed: 7 } };
    const made = await request(api.url).post('/graphql').set(api.shop.as).send({ query, variables });
    const { id } = made.body.data.createMarker as { id: string };
    const states: { state: string; result: unknown }[] = [];
    const follow = `subscription ($id: ID!) { markerProgress(id: $id) { state result { markers { lengthMm } } } }`;
    for await (const { data } of client.iterate<{ markerProgress: { state: string; result: unknown } }>({
      query: follow,
      variables: { id },
    }))
      if (data != null) states.push(data.markerProgress);
    await client.dispose();
    const rest = await find(id);
    expect(rest.seed).toBe(7);
    expect(states.at(-1)).toEqual({
      state: 'READY',
      result: { markers: rest.result?.markers.map(({ lengthMm }) => ({ lengthMm })) },
    });
  });

  it('is made once for each key', async () => {
    const key = { 'Idempotency-Key': 'marker-1' };
    const order = { drafts: each([drafts[0] ?? '']), cloths: [CLOTH], work: 1 };
    const [first, second] = [await lay(order, key), await lay(order, key)];
    expect([second.body.id, second.headers['idempotency-replayed']]).toEqual([first.body.id, 'true']);
    expect((await lay({ ...order, seed: 2 }, key)).body.code).toBe('IDEMPOTENCY_KEY_REUSED');
  });
});

describeWith(SHAPELY, 'a marker by a second opinion', (python) => {
  it('lies on the cloth without overlap, every piece of every draft', async () => {
    const order = {
      drafts: [{ draftId: drafts[0], quantity: 3 }],
      cloths: [CLOTH],
      work: 80,
      outputs: ['svg'],
    };
    const { body } = await lay(order);
    const file = JSON.parse((await fileOf(body.id, 'marker.json')).toString()) as {
      markers: WrittenMarker[];
    };
    const draft = await request(api.url).get(`/v1/drafts/${drafts[0]}/files/draft.json`).set(api.shop.as);
    const { cutPieces } = draft.body as {
      cutPieces: { id: string; cloth: string[]; quantity: { asDrawn: number; mirrored: number } }[];
    };
    const shell = cutPieces.filter(({ cloth }) => cloth.includes('shell'));
    const garments = [1, 2, 3].map((g) => ({
      reference: `${g}`,
      pieces: shell.map(({ id, quantity }) => ({
        piece: `${g} ${id}`,
        plain: quantity.asDrawn,
        mirrored: quantity.mirrored,
      })),
    }));
    const [{ rules, pieces, placements, length }] = file.markers;
    const counted = placements.map((placement) => ({ ...placement, garment: placement.garment - 1 }));
    const marker = { placements: counted, figures: { length } } as unknown as Marker;
    const [opinion] = layoutOpinions(python, [{ request: { cloth: rules, pieces, garments }, marker }]);
    expect(opinion).toMatchObject({ overlapArea: 0, demandMet: true, turnedWrong: 0, againstNap: 0 });
    expect(opinion?.outside).toBeLessThanOrEqual(0);
    expect(opinion?.nearest).toBeGreaterThanOrEqual(2);
    expect(opinion?.utilisation).toBeCloseTo(body.result.markers[0].utilisation, 3);
  });
});

describe('a marker that several searches are made for', () => {
  const order = () => ({ drafts: each(drafts.slice(0, 2)), cloths: [CLOTH], searches: 3, seed: 4 });
  const layoutOf = async (id: string) =>
    (
      JSON.parse((await fileOf(id, 'marker.json')).toString()) as {
        markers: { chain: number; length: number }[];
      }
    ).markers;

  it('is the best of them by work, whoever makes them', async () => {
    const alone = await lay({ ...order(), work: 20 });
    expect(alone.body).toMatchObject({ state: 'ready', searches: 3 });
    const helper = await startTestWorker(api, { FORKLINE_MARKERS_AT_ONCE: '2' });
    try {
      const shared = await lay({ ...order(), work: 20 });
      expect(await layoutOf(shared.body.id as string)).toEqual(await layoutOf(alone.body.id as string));
      expect(shared.body.findings.map(({ code }: { code: string }) => code)).not.toContain('FEWER_SEARCHES');
      const one = await lay({ ...order(), searches: 1, work: 20 });
      const [best, first] = [await layoutOf(shared.body.id as string), await layoutOf(one.body.id as string)];
      expect(best[0]?.length).toBeLessThanOrEqual(first[0]?.length ?? 0);
      // Some search was made by the helper: its log says so of jobs that were done and not passed over.
      expect(helper.log()).toMatch(/"jobName":"lay-marker".*"outcome":"done"/);
    } finally {
      await helper.close();
    }
  });

  it('ends with the clock, and says how many searches had a thread', async () => {
    const { body } = await lay({ ...order(), seconds: 1 });
    expect(body.state).toBe('ready');
    // One worker that lays one marker at a time: nobody could take the other two.
    expect(body.findings).toContainEqual(
      expect.objectContaining({
        code: 'FEWER_SEARCHES',
        message: expect.stringContaining('1 of 3 searches') as unknown,
      }),
    );
    expect(await api.db.query('SELECT count(*)::int AS n FROM marker_searches')).toEqual([{ n: 0 }]);
  });

  it('is cancelled as a whole', async () => {
    const helper = await startTestWorker(api, {});
    try {
      const { body } = await lay({ ...order(), seconds: 60 }, {});
      await eventually(
        () => find(body.id as string),
        ({ progress }) => progress?.stage === 'shortening',
        20_000,
      );
      const cancelled = await request(api.url).post(`/v1/markers/${body.id}/cancel`).set(api.shop.as);
      expect(cancelled.body).toMatchObject({ state: 'cancelled', result: { endedBy: 'cancelled' } });
    } finally {
      await helper.close();
    }
  });
});

describe('a marker that begins from an earlier one', () => {
  it('is never longer than that, and says where it began', async () => {
    const order = { drafts: each(drafts.slice(0, 2)), cloths: [CLOTH] };
    const earlier = await lay({ ...order, work: 60, seed: 1 });
    const later = await lay({ ...order, work: 1, seed: 2, startFrom: earlier.body.id as string });
    expect(later.body).toMatchObject({ state: 'ready', startFrom: earlier.body.id });
    expect(later.body.result.markers[0].lengthMm).toBeLessThanOrEqual(
      earlier.body.result.markers[0].lengthMm,
    );
    const more = await lay({ ...order, drafts: each(drafts), work: 1, startFrom: earlier.body.id as string });
    expect(more.body).toMatchObject({ state: 'ready', result: { left: [] } });
  });

  it('is refused where there is none', async () => {
    const startFrom = 'mrk_01KAYRE6F7G8H9J0K1M2N3P4QR';
    const { status, body } = await lay({ drafts: each(drafts.slice(0, 1)), cloths: [CLOTH], startFrom });
    expect(status).toBe(422);
    expect(body.errors).toEqual([expect.objectContaining({ pointer: '/startFrom', code: 'NOT_FOUND' })]);
  });
});

describe('a marker that is cancelled', () => {
  it('in the middle keeps the best certified one, with its files', async () => {
    const { body } = await lay({ drafts: each(drafts), cloths: [CLOTH], seconds: 120 }, {});
    await eventually(
      () => find(body.id),
      ({ progress }) => progress?.stage === 'shortening',
      60_000,
    );
    const cancelled = await request(api.url).post(`/v1/markers/${body.id}/cancel`).set(api.shop.as);
    expect([cancelled.status, cancelled.body.state]).toEqual([200, 'cancelled']);
    expect(cancelled.body.result).toMatchObject({ endedBy: 'cancelled', markers: [{ pieces: 21 }] });
    expect(JSON.parse((await fileOf(body.id, 'marker.json')).toString())).toMatchObject({
      markers: [{ length: cancelled.body.result.markers[0].lengthMm }],
    });
    const again = await request(api.url).post(`/v1/markers/${body.id}/cancel`).set(api.shop.as);
    expect([again.status, again.body.sequence]).toEqual([200, cancelled.body.sequence]);
  });

  it('before anybody has begun it has none', async () => {
    const long = await lay({ drafts: each(drafts), cloths: [CLOTH], seconds: 120 }, {});
    await eventually(
      () => find(long.body.id),
      ({ state }) => state === 'working',
      30_000,
    );
    const { body } = await lay({ drafts: each(drafts), cloths: [CLOTH], seconds: 120 }, {});
    const cancelled = await request(api.url).post(`/v1/markers/${body.id}/cancel`).set(api.shop.as);
    expect([cancelled.body.state, cancelled.body.result]).toEqual(['cancelled', undefined]);
    await request(api.url).post(`/v1/markers/${long.body.id}/cancel`).set(api.shop.as);
    expect((await ended(long.body.id)).state).toBe('cancelled');
  });

  it('after it has ended is not', async () => {
    const { body } = await lay({ drafts: each([drafts[0] ?? '']), cloths: [CLOTH], work: 1 });
    const refused = await request(api.url).post(`/v1/markers/${body.id}/cancel`).set(api.shop.as);
    expect([refused.status, refused.body.code]).toEqual([409, 'STATE_CONFLICT']);
  });
});

describe('a marker that cannot be as asked', () => {
  it('lists all that is wrong with it', async () => {
    const { body } = await lay({
      drafts: [{ draftId: 'drf_x', quantity: 0 }],
      cloths: [{ name: 'denim', width: '1 mm' }],
      seconds: 0,
      work: 1.5,
      seed: -1,
      outputs: ['png'],
      threads: 2,
    });
    expect(body.errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual([
      '/cloths/0/width',
      '/drafts/0/draftId',
      '/drafts/0/quantity',
      '/outputs/0',
      '/seconds',
      '/seed',
      '/threads',
      '/work',
    ]);
    const together = await lay({ drafts: [], cloths: [CLOTH, CLOTH], seconds: 1, work: 1 });
    expect(together.body.errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual([
      '/cloths/1/name',
      '/drafts',
      '/work',
    ]);
  });

  it('names drafts that are not there, not ready or not its own', async () => {
    const other = await request(api.url)
      .post('/v1/drafts')
      .set(api.otherShop.as)
      .send(fromBody({ outputs: [] }) as object);
    const stopped = await request(api.url)
      .post('/v1/drafts')
      .set(api.shop.as)
      .set('Prefer', 'wait=30')
      .send(fromBody({ alterations: [{ use: 'drop-crotch', with: { drop: 1 } }], outputs: [] }) as object);
    expect(stopped.body.state).toBe('needs_attention');
    const ids = [drafts[0] ?? '', other.body.id as string, stopped.body.id as string];
    const { status, body } = await lay({ drafts: each(ids), cloths: [CLOTH] });
    expect(status).toBe(422);
    expect(body.errors).toMatchObject([
      { pointer: '/drafts/1/draftId', code: 'NOT_FOUND' },
      { pointer: '/drafts/2/draftId', code: 'CONFLICT' },
    ]);
  });

  it('takes longer than the service, or the shop, allows', async () => {
    const order = { drafts: each([drafts[0] ?? '']), cloths: [CLOTH] };
    const tooLong = async (seconds: number) => (await lay({ ...order, seconds }, {})).body.errors;
    expect(await tooLong(301)).toMatchObject([{ pointer: '/seconds', allowed: '0.1 to 300 s' }]);
    await api.db.query('UPDATE shops SET marker_seconds_max = 1 WHERE id = $1', [api.shop.id]);
    try {
      expect(await tooLong(2)).toMatchObject([{ pointer: '/seconds', allowed: '0.1 to 1 s' }]);
      const usual = await lay(order, {});
      expect([usual.status, usual.body.seconds]).toEqual([202, 1]);
    } finally {
      await api.db.query('UPDATE shops SET marker_seconds_max = NULL WHERE id = $1', [api.shop.id]);
    }
  });

  it.each([
    [{ width: '20 cm' }, '/drafts/0/draftId PIECE_TOO_WIDE: front: found 3'],
    [{ layup: 'folded' }, '/cloths/0/layup'],
    [{ layup: 'tubular' }, '/cloths/0/layup'],
  ])('is refused with its place for %j', async (change, place) => {
    const { body } = await lay({
      drafts: each([drafts[0] ?? '']),
      cloths: [{ ...CLOTH, ...change }],
      seconds: 60,
    });
    expect(body).toMatchObject({ state: 'failed', errorReason: expect.stringContaining(place) });
  });

  it('says which garments fit on the rolls there are, and what remains', async () => {
    const cloth = { ...CLOTH, rolls: [{ name: 'end of roll', length: '2.2 m' }] };
    const { body } = await lay({ drafts: each(drafts), cloths: [cloth], work: 20 });
    expect(body.state).toBe('needs_attention');
    expect(body.findings).toContainEqual(
      expect.objectContaining({ code: 'GARMENTS_LEFT_OVER', level: 'stop' }),
    );
    const { markers, left, remnants } = body.result as NonNullable<MarkerAnswer['result']>;
    const laid = markers.flatMap(({ garments }) => garments);
    expect([...laid, ...left.map(({ garment }) => garment)].sort()).toEqual(['one', 'three', 'two']);
    expect(left.length).toBeGreaterThan(0);
    const used = markers.reduce((sum, { clothLengthMm }) => sum + clothLengthMm, 0);
    expect(remnants).toEqual([
      { cloth: 'denim', roll: 'end of roll', lengthMm: expect.closeTo(2200 - used, 6) },
    ]);
  });

  it("is another shop's, and so not there", async () => {
    const { body } = await lay({ drafts: each([drafts[0] ?? '']), cloths: [CLOTH], work: 1 });
    for (const path of ['', '/files', '/files/marker.json', '/events']) {
      const { status } = await request(api.url).get(`/v1/markers/${body.id}${path}`).set(api.otherShop.as);
      expect([path, status]).toEqual([path, 404]);
    }
    const cancel = await request(api.url).post(`/v1/markers/${body.id}/cancel`).set(api.otherShop.as);
    expect(cancel.status).toBe(404);
  });
});

describe('erasing a person', () => {
  it('erases every marker that one of their drafts lies on, and its files', async () => {
    const theirs = await makeDraft('to be erased', 760);
    const { body } = await lay({ drafts: each([drafts[0] ?? '', theirs]), cloths: [CLOTH], work: 1 });
    const files = await request(api.url).get(`/v1/markers/${body.id}/files`).set(api.shop.as);
    const draft = await request(api.url).get(`/v1/drafts/${theirs}`).set(api.shop.as);
    expect((await request(api.url).delete(`/v1/bodies/${draft.body.bodyId}`).set(api.shop.as)).status).toBe(
      204,
    );
    expect((await request(api.url).get(`/v1/markers/${body.id}`).set(api.shop.as)).status).toBe(404);
    for (const { sha256 } of files.body.items as { sha256: string }[])
      expect(await api.store.has(sha256)).toBe(false);
    expect((await request(api.url).get(`/v1/drafts/${drafts[0]}`).set(api.shop.as)).status).toBe(200);
  });
});

describe('a worker that is killed while it lays', () => {
  it('loses nothing but time: another ends the marker, as an undisturbed one would', async () => {
    const own = await startTestApi();
    try {
      const environment = { DATABASE_URL: own.db.url, FORKLINE_DATA_FOLDER: own.dataFolder };
      const first = startServiceProcess('worker', await freePort(), environment);
      const draftId = await makeDraft('one', 740, ['dxf'], own);
      const order = { drafts: [{ draftId }], cloths: [CLOTH], work: 900, outputs: ['svg'] };
      const { body } = await request(own.url).post('/v1/markers').set(own.shop.as).send(order);
      const look = async () =>
        (await request(own.url).get(`/v1/markers/${body.id}`).set(own.shop.as)).body as MarkerAnswer;
      await eventually(look, ({ progress }) => progress?.stage === 'shortening', 60_000);
      await first.kill();
      const second = await startTestWorker(own);
      const { state } = await eventually(look, ({ finishedAt }) => finishedAt !== undefined, 90_000);
      const [row] = await own.db.query('SELECT attempt FROM markers WHERE id = $1', [body.id]);
      expect([state, row]).toEqual(['ready', { attempt: 2 }]);
      await second.close();
      const undisturbed = await lay({ ...order, drafts: each([drafts[0] ?? '']) }, {});
      const { result } = await ended(undisturbed.body.id as string);
      expect((await look()).result).toEqual(result);
    } finally {
      await own.close();
    }
  });
});

describe('the logs and the webhooks', () => {
  it('hold no measure, and nothing unforeseen', () => {
    const events = `${api.log()}${worker.log()}`
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(events.map(({ event }) => event)).toEqual(
      expect.arrayContaining(['marker.accepted', 'marker.ready', 'marker.cancelled', 'marker.failed']),
    );
    const wrong = ({ event, code }: Record<string, unknown>) =>
      event === 'event.unnamed' || code === 'UNFORESEEN';
    expect(events.filter(wrong)).toEqual([]);
    const measures = /\b(740|1000|720|1040|765|820|1080|690|950)\b/;
    for (const { time: _time, durationMs: _duration, port: _port, ...event } of events)
      expect(JSON.stringify(event)).not.toMatch(measures);
    for (const { body } of receiver.received) expect(body).not.toMatch(measures);
  });
});
