import { performance } from 'node:perf_hooks';
import { readDraftRequest } from '#contracts';
import { draftResult, previewDraft } from '#pipeline';
import { startTestApi, type TestApi } from '../test/support/test-api.js';
import { startTestWorker } from '../test/support/test-worker.js';
import { WORKED_BODY } from '../test/support/worked-body.js';
import { WORKED_BLOCK_JSON } from '../test/support/worked-block-json.js';

// npm run bench -- preview
// A preview of a block and a drop-crotch: inside the process against the geometry, over HTTP on loopback, with twenty
// callers at once, and what those do to a draft beside them. A real API, database and worker on this machine.

const REQUEST = {
  body: WORKED_BODY,
  block: WORKED_BLOCK_JSON,
  alterations: [{ use: 'drop-crotch', with: { drop: 0.5 } }],
  confirm: ['MEASURES_DOUBTFUL'],
};
const DRAFT = { ...REQUEST, outputs: ['proof', 'pattern'] };

const WARM_UP_ROUNDS = 30;
const ROUNDS = 60;
const CALLERS = 20;
const ROUNDS_TOGETHER = 10;
const DRAFTS = 6;

/** A person with a slider waits for nothing that is slower. */
const MEDIAN_MS_MAX = 60;
const TIMES_GEOMETRY_MAX = 1.5;

insideTheProcess();
const api = await startTestApi();
const worker = await startTestWorker(api);
try {
  await overHttp(api);
} finally {
  await worker.close();
  await api.close();
}

function insideTheProcess(): void {
  const read = readDraftRequest(REQUEST);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const ms = { geometry: [] as number[], preview: [] as number[] };
  for (let round = -WARM_UP_ROUNDS; round < ROUNDS; round++) {
    const geometry = timed(() => draftResult(read.request));
    const preview = timed(() => previewDraft(read.request));
    if (round < 0) continue;
    ms.geometry.push(geometry);
    ms.preview.push(preview);
  }
  const times = median(ms.preview) / median(ms.geometry);
  console.log(
    `inside the process: geometry ${median(ms.geometry).toFixed(1)} ms, preview ${times.toFixed(2)} times that (at most ${TIMES_GEOMETRY_MAX})`,
  );
}

async function overHttp(service: TestApi): Promise<void> {
  for (let round = 0; round < WARM_UP_ROUNDS; round++) await preview(service);
  const alone: number[] = [];
  for (let round = 0; round < ROUNDS; round++) alone.push(await preview(service));
  console.log(`over HTTP, one caller: median ${median(alone).toFixed(1)} ms (at most ${MEDIAN_MS_MAX})`);
  await drafts(service);
  const quiet = await drafts(service);
  let isGoing = true;
  const together: number[] = [];
  const callers = Array.from({ length: CALLERS }, async () => {
    while (isGoing) together.push(await preview(service));
  });
  const besides = await drafts(service);
  isGoing = false;
  await Promise.all(callers);
  const rounds: number[] = [];
  for (let round = 0; round < ROUNDS_TOGETHER; round++) {
    rounds.push(...(await Promise.all(Array.from({ length: CALLERS }, () => preview(service)))));
  }
  console.log(`over HTTP, ${CALLERS} callers at once: median ${median(rounds).toFixed(1)} ms`);
  console.log(
    `${CALLERS} callers that never pause: median ${median(together).toFixed(1)} ms; ${DRAFTS} drafts beside them in ${(besides / quiet).toFixed(2)} times the time they take alone (${quiet.toFixed(0)} ms)`,
  );
}

async function preview({ url, shop }: TestApi): Promise<number> {
  const before = performance.now();
  const response = await post(`${url}/v1/previews`, shop.as, REQUEST);
  const text = await response.text();
  if (response.status !== 200) throw new Error(`${response.status} ${text}`);
  return performance.now() - before;
}

/** How long some drafts take from the first request to the last one that is ready, in ms. */
async function drafts({ url, shop }: TestApi): Promise<number> {
  const before = performance.now();
  await Promise.all(
    Array.from({ length: DRAFTS }, async (_, index) => {
      const headers = { ...shop.as, prefer: 'wait=30' };
      const json = { ...DRAFT, reference: `order ${index}` };
      const response = await post(`${url}/v1/drafts`, headers, json);
      const { state } = (await response.json()) as { readonly state: string };
      if (!/ready|needs_attention/.test(state)) throw new Error(`the draft is ${state}`);
    }),
  );
  return performance.now() - before;
}

function post(url: string, headers: Readonly<Record<string, string>>, json: unknown): Promise<Response> {
  return fetch(url, {
    method: 'POST',
    headers: { ...headers, 'content-type': 'application/json' },
    body: JSON.stringify(json),
  });
}

function timed(work: () => unknown): number {
  const before = performance.now();
  work();
  return performance.now() - before;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
}
