import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { createApiClient, fetchFiles, type ApiClient } from './api-client.js';
import { Cleanup } from './cleanup.js';
import { dataFolder } from './data-folder.js';
import { examplePath } from './example-path.js';
import { EXIT, type ExitCode } from './exit-code.js';
import { figureLines } from './figure-lines.js';
import { freePort } from './free-port.js';
import { windDownWith } from './interrupt.js';
import { ProgressBar } from './progress-bar.js';
import { startService, type Service } from './service.js';
import { writeFolder, requireFolder, type FolderFile } from './write-folder.js';
import { isSignedBy, startWebhookReceiver, type ReceivedWebhook } from './webhook-receiver.js';
import type { Call, Streams, Verb } from './verb.js';

const DEFAULT_DIR = 'demo-out';

/** Long enough for a busy machine; a draft takes about a second. */
const WEBHOOK_MS_MAX = 90_000;

export const DEMO: Verb = {
  name: 'demo',
  summary: 'the whole service once, from an HTTP request to a verified webhook and the fetched files',
  operands: [],
  options: { out: { value: 'DIR', says: `folder for the files, ${DEFAULT_DIR} when left out` } },
  description: [
    'Starts a PostgreSQL, the API and the worker, posts examples/draft-request.json with a key, waits for the signed',
    'webhook on a receiver of its own, verifies it, fetches every file of the draft into DIR and stops everything.',
    'webhook.json in DIR holds the headers, the raw body and the secret, so that any other program can verify it.',
  ],
  run,
};

async function run({ options }: Call, streams: Streams): Promise<ExitCode> {
  const dir = options['out'] ?? DEFAULT_DIR;
  await requireFolder(dir);
  const bar = new ProgressBar(streams.bar, 'demo');
  const cleanup = new Cleanup();
  windDownWith(() => cleanup.run());
  try {
    const made = await orderAndFetch(cleanup, (fraction) => bar.show(fraction));
    await writeFolder(dir, made.files);
    bar.clear();
    sayWhatHappened(made, dir, streams);
    return made.state === 'ready' ? EXIT.answered : EXIT.no;
  } finally {
    bar.clear();
    await cleanup.run();
    windDownWith(undefined);
  }
}

interface Made {
  readonly files: readonly FolderFile[];
  readonly state: string;
  readonly reference: string;
  readonly lines: readonly string[];
}

async function orderAndFetch(cleanup: Cleanup, show: (fraction: number) => void): Promise<Made> {
  show(0);
  const receiver = await startWebhookReceiver();
  await cleanup.add(() => receiver.close());
  const service = await startService(
    {
      dataFolder: join(await dataFolder(), 'demo'),
      keep: 'disposable',
      port: await freePort(),
      workerPort: await freePort(),
      settings: { FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: receiver.address, FORKLINE_CLOSE_GRACE_MS: '2000' },
      shopName: 'Demo shop',
    },
    cleanup,
  );
  show(0.6);
  const client = createApiClient(service.apiUrl, service.apiKey);
  const secret = await registerReceiver(client, receiver.url);
  const request: unknown = JSON.parse(await readFile(examplePath('draft-request.json'), 'utf8'));
  const postedAt = performance.now();
  const {
    status,
    location = '',
    body,
  } = await client.post('/v1/drafts', request, {
    'idempotency-key': randomUUID(),
  });
  const answeredMs = performance.now() - postedAt;
  show(0.7);
  const webhook = await receiver.received(WEBHOOK_MS_MAX);
  const announcedMs = performance.now() - postedAt;
  if (!isSignedBy(webhook, secret))
    throw new Error('the webhook is not signed by the secret of its endpoint');
  show(0.9);
  const { data } = JSON.parse(webhook.body) as { data: { state: string; reference: string } };
  const files = await fetchFiles(client, `${new URL(location, service.apiUrl).pathname}/files`);
  return {
    files: [webhookFile(webhook, secret), ...files],
    state: data.state,
    reference: data.reference,
    lines: [
      placesLine(service),
      `POST /v1/drafts was answered ${status} for ${String(body['id'])} after ${answeredMs.toFixed(0)} ms.`,
      `The webhook ${webhook.headers['webhook-id']} came ${announcedMs.toFixed(0)} ms after the request; its signature is right.`,
    ],
  };
}

/** The endpoint's secret, which is shown this once. */
async function registerReceiver(client: ApiClient, url: string): Promise<string> {
  const { body } = await client.post('/v1/webhook-endpoints', { url });
  const { secret } = body;
  if (typeof secret !== 'string') throw new Error('the endpoint was made without a secret');
  return secret;
}

function webhookFile({ headers, body }: ReceivedWebhook, secret: string): FolderFile {
  const text = `${JSON.stringify({ headers, body, secret }, null, 1)}\n`;
  return { name: 'webhook.json', bytes: new TextEncoder().encode(text) };
}

function placesLine({ apiUrl, postgres }: Service): string {
  const database =
    postgres.state === 'adopted' ? 'a PostgreSQL that an earlier run had left' : 'a PostgreSQL of its own';
  return `The API ran at ${apiUrl}, the worker beside it, on ${database}${
    postgres.directory === undefined ? '' : ` in ${postgres.directory}`
  }.`;
}

function sayWhatHappened({ files, reference, lines }: Made, dir: string, streams: Streams): void {
  const textOf = (name: string): string | undefined => {
    const file = files.find((candidate) => candidate.name === name);
    return file === undefined ? undefined : new TextDecoder().decode(file.bytes);
  };
  for (const line of lines) streams.out(line);
  streams.out(`A trouser block was drafted for ${reference}, an invented customer, and its crotch lowered.`);
  for (const sentence of figureLines(textOf('draft.json'), textOf('truing.json'))) streams.out(sentence);
  streams.out(
    `Look at ${dir}/proof.svg first: before and after, what moved, and what there is to say about it.`,
  );
  streams.out(`The pieces are in ${dir}/pattern.svg, every number in draft.json and truing.json.`);
  const names = files.map(({ name }) => name).sort();
  streams.out(`${names.length} files in ${dir}: ${names.join(', ')}.`);
}
