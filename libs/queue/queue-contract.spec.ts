import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { fork } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import {
  JobRejectedError,
  QueueError,
  RetryLaterError,
  openQueue,
  type AttemptReport,
  type JobHandlers,
  type JobQueue,
  type JobWorker,
  type ParkedJob,
  type QueueBackend,
} from '#queue';
import {
  hasRedis,
  startBarePostgres,
  startBareRedis,
  type BareServer,
} from '../../test/support/bare-servers.js';
import { eventually } from '../../test/support/eventually.js';
import { queueContents } from '../../test/support/queue-contents.js';
import { TEST_JOBS } from '../../test/support/queue-jobs.js';

type Jobs = typeof TEST_JOBS;
const anything = z.unknown();

const WORKER_PROCESS = join(import.meta.dirname, '../../test/support/queue-worker-process.js');
const NOTE = { name: 'write-note', payload: { noteId: 'note_1' } } as const;
const seed = Date.now() % 100_000;
let prefixCount = 0;

// One suite, every backend: whoever runs on one of them may move to the other.
describe.each([
  { kind: 'postgres' as const, start: startBarePostgres, isHere: true },
  { kind: 'redis' as const, start: startBareRedis, isHere: hasRedis() },
])('the queue on $kind', ({ kind, start, isHere }) => {
  const test = isHere ? it : it.skip;
  let server: BareServer;
  let backend: QueueBackend;
  let prefix: string;
  let queue: JobQueue<Jobs>;
  let worker: JobWorker | undefined;
  let errors: Error[];
  let workerErrors: Error[];
  let parked: ParkedJob[];
  let attempts: AttemptReport[];

  beforeAll(async () => {
    if (!isHere) return;
    server = await start();
    backend = { kind, url: server.url };
  }, 60_000);

  afterAll(() => (isHere ? server.remove() : undefined));

  beforeEach(async () => {
    if (!isHere) return;
    prefix = `queue_test_${seed}_${prefixCount++}`;
    [errors, workerErrors, parked, attempts, worker] = [[], [], [], [], undefined];
    queue = await openQueue({ backend, prefix, jobs: TEST_JOBS, onError: (error) => errors.push(error) });
  }, 30_000);

  afterEach(async () => {
    await worker?.close({ graceMs: 5_000 });
    if (isHere) await queue.close();
  }, 20_000);

  const startWorker = async (
    handlers: Partial<JobHandlers<Jobs>>,
    onParked = (job: ParkedJob): Promise<void> => Promise.resolve(void parked.push(job)),
  ): Promise<void> => {
    worker = await queue.startWorker({
      handlers: {
        'write-note': () => Promise.resolve('done'),
        'send-note': () => Promise.resolve('done'),
        ...handlers,
      },
      concurrency: { 'write-note': 3 },
      random: () => 0,
      onError: (error) => workerErrors.push(error),
      onParked,
      onAttempt: (attempt) => attempts.push(attempt),
    });
  };

  const reaches = (id: string, state: string, ms = 10_000): Promise<string> =>
    eventually(
      () => queue.stateOf('write-note', id),
      (now) => now === state,
      ms,
    );

  test('runs a job once though it was enqueued twice, before and after it finished', async () => {
    const seen: string[] = [];
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await queue.enqueue(NOTE, { id: 'obx_1' });
    expect(await queue.counts('write-note')).toEqual({ waiting: 1, active: 0, delayed: 0, parked: 0 });
    await startWorker({
      'write-note': ({ noteId }, { jobId }) =>
        Promise.resolve(seen.push(`${jobId} ${noteId}`)).then(() => 'done'),
    });
    await reaches('obx_1', 'finished');
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await queue.enqueue(NOTE, { id: 'obx_2' });
    await reaches('obx_2', 'finished');
    expect(seen).toEqual(['obx_1 note_1', 'obx_2 note_1']);
    expect([...errors, ...workerErrors]).toEqual([]);
  }, 30_000);

  test('holds a delayed job back', async () => {
    await startWorker({});
    const enqueuedAt = performance.now();
    await queue.enqueue(NOTE, { id: 'obx_late', delayMs: 600 });
    expect(await queue.stateOf('write-note', 'obx_late')).toBe('delayed');
    await reaches('obx_late', 'finished');
    expect(performance.now() - enqueuedAt).toBeGreaterThan(590);
  }, 30_000);

  test('tries again after each wait of the policy, then parks the job and says why', async () => {
    const startedAt: number[] = [];
    await startWorker({
      'write-note': () => {
        startedAt.push(performance.now());
        return Promise.reject(Object.assign(new Error('waist 812.5'), { code: 'STORE_AWAY' }));
      },
    });
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await reaches('obx_1', 'parked');
    const waits = startedAt.slice(1).map((at, i) => at - startedAt[i]);
    expect(waits).toHaveLength(2);
    expect(waits[0]).toBeGreaterThan(115);
    expect(waits[1]).toBeGreaterThan(235);
    expect(attempts.map(({ attempt, outcome }) => [attempt, outcome])).toEqual([
      [1, 'retried'],
      [2, 'retried'],
      [3, 'parked'],
    ]);
    const set = { id: 'obx_1', name: 'write-note', payload: NOTE.payload, attemptsMade: 3 };
    const why = { reason: 'ATTEMPTS_EXHAUSTED', message: 'Error STORE_AWAY' };
    expect(parked).toEqual([{ ...set, ...why }]);
    expect(await queue.parked('write-note', 10)).toEqual([{ ...set, ...why }]);
  }, 30_000);

  test('keeps of a failure its name, its code and the way to it, and hands the whole to the worker', async () => {
    await startWorker({
      'write-note': () =>
        Promise.reject(
          Object.assign(new RangeError('waist 812.5'), { code: 'WAIST_ODD', waistGirth: 812.5 }),
        ),
    });
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await reaches('obx_1', 'parked');
    const contents = await queueContents(backend, prefix);
    expect(contents).toContain('RangeError WAIST_ODD');
    expect(contents).toContain('queue-contract.spec');
    expect(contents).not.toMatch(/waist 812|812\.5/);
    expect(attempts.map(({ error }) => error?.message)).toEqual([
      'waist 812.5',
      'waist 812.5',
      'waist 812.5',
    ]);
  }, 30_000);

  test('waits as long as the handler asks', async () => {
    const startedAt: number[] = [];
    await startWorker({
      'write-note': (_payload, { attempt }) => {
        startedAt.push(performance.now());
        return attempt === 1 ? Promise.reject(new RetryLaterError('busy', 900)) : Promise.resolve('done');
      },
    });
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await reaches('obx_1', 'finished');
    expect(startedAt[1] - startedAt[0]).toBeGreaterThan(890);
  }, 30_000);

  test('parks at once what can never succeed, and gives it all attempts again when asked', async () => {
    let isMended = false;
    await startWorker({
      'write-note': () =>
        isMended ? Promise.resolve('done') : Promise.reject(new JobRejectedError('no such note')),
    });
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await reaches('obx_1', 'parked');
    expect(parked.map(({ reason, message, attemptsMade }) => [reason, message, attemptsMade])).toEqual([
      ['REJECTED', 'no such note', 1],
    ]);
    isMended = true;
    expect(await queue.retryParked('write-note', 'obx_1')).toBe('retried');
    await reaches('obx_1', 'finished');
    expect(await queue.retryParked('write-note', 'obx_1')).toBe('not-parked');
  }, 30_000);

  test('parks a payload that its schema refuses, without a handler seeing it, and names the field', async () => {
    const handled: unknown[] = [];
    // The same queue through a looser schema, as an older or broken release would have written it.
    const loose = await openQueue({
      backend,
      prefix,
      jobs: TEST_JOBS.map((job) => ({ ...job, payload: anything })),
      onError: (error) => errors.push(error),
    });
    await loose.enqueue({ name: 'write-note', payload: { noteId: 7, 'a/b': 1 } }, { id: 'obx_poison' });
    await loose.close();
    await startWorker({
      'write-note': (payload) => Promise.resolve(handled.push(payload)).then(() => 'done'),
    });
    await reaches('obx_poison', 'parked');
    expect(handled).toEqual([]);
    expect(parked[0].reason).toBe('PAYLOAD_INVALID');
    expect(parked[0].message).toContain('/noteId: ');
  }, 30_000);

  test('upgrades an older payload, and leaves a newer one to a newer worker', async () => {
    const handled: string[] = [];
    const release = (version: number): Promise<JobQueue<readonly [Loose]>> =>
      openQueue({
        backend,
        prefix,
        jobs: [{ ...TEST_JOBS[0], version, payload: anything }],
        onError: (error) => errors.push(error),
      });
    const [older, newer] = [await release(1), await release(3)];
    await older.enqueue({ name: 'write-note', payload: { id: '9' } }, { id: 'obx_old' });
    await newer.enqueue({ name: 'write-note', payload: {} }, { id: 'obx_new' });
    await startWorker({
      'write-note': ({ noteId }) => Promise.resolve(handled.push(noteId)).then(() => 'done'),
    });
    await reaches('obx_old', 'finished');
    await reaches('obx_new', 'parked');
    expect(handled).toEqual(['note_9']);
    expect(parked.map(({ id, reason, attemptsMade }) => [id, reason, attemptsMade])).toEqual([
      ['obx_new', 'ATTEMPTS_EXHAUSTED', 3],
    ]);
    await Promise.all([older.close(), newer.close()]);
  }, 30_000);

  test('asks again when the one who must hear of a parked job fails', async () => {
    let calls = 0;
    await startWorker({ 'write-note': () => Promise.reject(new JobRejectedError('no')) }, () =>
      ++calls === 1 ? Promise.reject(new Error('database away')) : Promise.resolve(),
    );
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await reaches('obx_1', 'parked');
    expect(calls).toBe(2);
    expect(workerErrors.map(({ message }) => message)).toEqual(['database away']);
  }, 30_000);

  test('waits at close for the job that runs', async () => {
    let state = 'waiting';
    await startWorker({
      'write-note': async () => {
        state = 'running';
        await new Promise((resolve) => setTimeout(resolve, 1_200));
        state = 'ended';
        return 'done';
      },
    });
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await eventually(
      () => state,
      (now) => now === 'running',
      5_000,
    );
    expect(await worker?.close({ graceMs: 10_000 })).toBe('drained');
    expect(state).toBe('ended');
    expect(await queue.stateOf('write-note', 'obx_1')).toBe('finished');
  }, 30_000);

  test('asks a job to stop when the time to close is over', async () => {
    let isRunning = false;
    await startWorker({
      'write-note': (_payload, { signal }) =>
        new Promise((_resolve, reject) => {
          isRunning = true;
          signal.addEventListener('abort', () => reject(new Error('stopped')));
        }),
    });
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await eventually(() => isRunning, Boolean, 5_000);
    expect(await worker?.close({ graceMs: 300 })).toBe('drained');
    expect(await queue.stateOf('write-note', 'obx_1')).toBe('delayed');
  }, 30_000);

  test('runs the job of a killed worker again within 15 seconds, and ends it once', async () => {
    const directory = mkdtempSync('/tmp/forkline-queue-');
    const log = join(directory, 'log');
    const victim = fork(WORKER_PROCESS, [JSON.stringify(backend), prefix, log], { stdio: 'inherit' });
    const ended: string[] = [];
    try {
      await queue.enqueue(NOTE, { id: 'obx_1' });
      await eventually(() => existsSync(log) && readFileSync(log, 'utf8'), Boolean, 30_000);
      victim.kill('SIGKILL');
      const killedAt = performance.now();
      await startWorker({
        'write-note': (_payload, { jobId }) => Promise.resolve(ended.push(jobId)).then(() => 'done'),
      });
      await reaches('obx_1', 'finished', 15_000);
      expect(performance.now() - killedAt).toBeLessThan(15_000);
      await new Promise((resolve) => setTimeout(resolve, 3_000));
      expect(ended).toEqual(['obx_1']);
      expect(readFileSync(log, 'utf8')).toBe(`${victim.pid} started obx_1\n`);
    } finally {
      victim.kill('SIGKILL');
      rmSync(directory, { recursive: true });
    }
  }, 70_000);

  test('goes on by itself after the server was killed and came back', async () => {
    const handled: string[] = [];
    await startWorker({
      'write-note': (_payload, { jobId }) => Promise.resolve(handled.push(jobId)).then(() => 'done'),
    });
    await queue.enqueue(NOTE, { id: 'obx_before' });
    await reaches('obx_before', 'finished');
    await server.kill();
    await expect(queue.enqueue(NOTE, { id: 'obx_during' })).rejects.toMatchObject({
      code: 'QUEUE_UNAVAILABLE',
      retryable: true,
    });
    await server.revive();
    await eventually(
      () =>
        queue.enqueue(NOTE, { id: 'obx_during' }).then(
          () => true,
          () => false,
        ),
      Boolean,
      15_000,
    );
    await reaches('obx_during', 'finished', 20_000);
    expect(handled).toEqual(['obx_before', 'obx_during']);
    expect(errors.length).toBeGreaterThan(0);
    expect(workerErrors.length).toBeGreaterThan(0);
  }, 90_000);

  test('forgets finished jobs by age, and their ids with them', async () => {
    await startWorker({});
    await queue.enqueue(NOTE, { id: 'obx_1' });
    await reaches('obx_1', 'finished');
    const sweep = { parkedOlderThanMs: 0, limit: 100 };
    expect(await queue.sweep({ ...sweep, finishedOlderThanMs: 3_600_000 })).toBe(0);
    expect(await queue.sweep({ ...sweep, finishedOlderThanMs: 0 })).toBe(1);
    expect(await queue.stateOf('write-note', 'obx_1')).toBe('unknown');
  }, 30_000);

  test('finishes every one of 300 jobs exactly once with two workers', async () => {
    const counted = new Map<string, number>();
    const count = (_payload: unknown, { jobId }: { readonly jobId: string }): Promise<'done'> => {
      counted.set(jobId, (counted.get(jobId) ?? 0) + 1);
      return Promise.resolve('done');
    };
    await startWorker({ 'write-note': count });
    const first = worker;
    await startWorker({ 'write-note': count });
    const ids = Array.from({ length: 300 }, (_, i) => `obx_${i}`);
    // Thirty at once: each call has five seconds, on a machine that others use too.
    for (let i = 0; i < ids.length; i += 30)
      await Promise.all(ids.slice(i, i + 30).map((id) => queue.enqueue(NOTE, { id })));
    await eventually(
      () => counted.size,
      (size) => size === 300,
      30_000,
    );
    await first?.close({ graceMs: 5_000 });
    expect([...counted.values()].every((times) => times === 1)).toBe(true);
    expect([...errors, ...workerErrors]).toEqual([]);
  }, 60_000);

  test('says so when its server is not there', async () => {
    // Port 1 of this machine: nothing listens there.
    const absent = openQueue({
      backend: { kind, url: `${kind}://127.0.0.1:1` },
      prefix,
      jobs: TEST_JOBS,
      onError: () => undefined,
      callTimeoutMs: 1_000,
    });
    await expect(absent).rejects.toMatchObject({ code: 'QUEUE_UNAVAILABLE', retryable: true });
  }, 30_000);

  test('refuses to start a worker that lacks a handler or has one too many', async () => {
    const handlers = {
      'write-note': () => Promise.resolve('done'),
      'paint-note': () => Promise.resolve('done'),
    };
    const options = {
      handlers,
      random: Math.random,
      onError: () => undefined,
      onParked: () => Promise.resolve(),
    };
    await expect(queue.startWorker(options as never)).rejects.toMatchObject({
      code: 'HANDLERS_INCOMPLETE',
      details: { missing: ['send-note'], unknown: ['paint-note'] },
    });
  }, 30_000);

  test('refuses what could never run, and says what is wrong', async () => {
    const code = (job: unknown, options: unknown): Promise<string> =>
      queue.enqueue(job as never, options as never).then(
        () => 'accepted',
        (error: unknown) => (error instanceof QueueError ? error.code : String(error)),
      );
    expect(await code({ name: 'send-note', payload: { noteId: 1 } }, { id: 'obx_1' })).toBe(
      'PAYLOAD_INVALID',
    );
    expect(await code({ name: 'paint-note', payload: {} }, { id: 'obx_1' })).toBe('JOB_UNKNOWN');
    expect(await code(NOTE, { id: '12' })).toBe('JOB_ID_INVALID');
    expect(await code(NOTE, { id: 'a:b' })).toBe('JOB_ID_INVALID');
    expect(await code(NOTE, { id: 'obx_1', delayMs: NaN })).toBe('DELAY_INVALID');
  }, 30_000);
});

type Loose = Omit<Jobs[0], 'version' | 'payload'> & {
  readonly version: number;
  readonly payload: typeof anything;
};
