import { afterAll, describe, expect, it } from '@jest/globals';
import { fork, type ChildProcess } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { openQueue, type QueueBackend } from '#queue';
import {
  hasRedis,
  startBarePostgres,
  startBareRedis,
  type BareServer,
} from '../../test/support/bare-servers.js';
import { eventually } from '../../test/support/eventually.js';
import { TEST_JOBS } from '../../test/support/queue-jobs.js';

const WORKER_PROCESS = join(import.meta.dirname, '../../test/support/queue-worker-process.js');

const BACKENDS = [
  { kind: 'postgres' as const, start: startBarePostgres, isHere: true },
  { kind: 'redis' as const, start: startBareRedis, isHere: hasRedis() },
].filter(({ isHere }) => isHere);

describe('a job that takes its worker down with it', () => {
  const servers: BareServer[] = [];

  afterAll(() => Promise.all(servers.map((server) => server.remove())));

  // All backends at once: nearly all of the half minute is waiting for locks to run out.
  it(`is parked after its fourth run, and its worker lives (${BACKENDS.map(({ kind }) => kind).join(', ')})`, async () => {
    await Promise.all(
      BACKENDS.map(async ({ kind, start }) => {
        const server = await start();
        servers.push(server);
        await survivesKillerJob({ kind, url: server.url });
      }),
    );
  }, 180_000);
});

async function survivesKillerJob(backend: QueueBackend): Promise<void> {
  const prefix = 'killer_job';
  const directory = mkdtempSync('/tmp/forkline-queue-');
  const log = join(directory, 'log');
  writeFileSync(log, '');
  const words = (): string[] => readFileSync(log, 'utf8').split('\n').filter(Boolean);
  const queue = await openQueue({ backend, prefix, jobs: TEST_JOBS, onError: () => undefined });
  let worker: ChildProcess | undefined;
  // As a supervisor would: a worker that dies is started again.
  const keepAlive = (): void => {
    worker = fork(WORKER_PROCESS, [JSON.stringify(backend), prefix, log, 'die'], { stdio: 'inherit' });
    worker.once('exit', (code) => (code === 1 ? keepAlive() : undefined));
  };
  try {
    await queue.enqueue({ name: 'write-note', payload: { noteId: 'note_1' } }, { id: 'obx_killer' });
    keepAlive();
    await eventually(words, (said) => said.some((word) => word.includes('parked')), 100_000);
    const what = words().map((word) => word.replace(/^\d+ /, ''));
    expect(what).toEqual([
      'started obx_killer',
      'started obx_killer',
      'started obx_killer',
      'started obx_killer',
      'parked obx_killer STALLED_TOO_OFTEN',
    ]);
    await eventually(
      () => queue.counts('write-note'),
      ({ parked }) => parked === 1,
      5_000,
    );
    const [{ reason, id }] = await queue.parked('write-note', 5);
    expect([id, reason]).toEqual(['obx_killer', 'STALLED_TOO_OFTEN']);
    await queue.enqueue({ name: 'send-note', payload: { noteId: 'n', to: 't' } }, { id: 'obx_next' });
    await eventually(
      () => queue.stateOf('send-note', 'obx_next'),
      (state) => state === 'finished',
      10_000,
    );
  } finally {
    worker?.kill('SIGKILL');
    await queue.close();
    rmSync(directory, { recursive: true });
  }
}
