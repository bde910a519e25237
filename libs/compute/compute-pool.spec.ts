import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ComputeError, openComputePool, tasksIn, type ComputePool, type Progress } from '#compute';
import { eventually } from '../../test/support/eventually.js';

const support = (file: string): string => join(import.meta.dirname, '../../test/support', file);
const tasks = tasksIn<typeof import('../../test/support/compute-tasks.js')>(
  new URL('../../test/support/compute-tasks.js', import.meta.url),
);
const DEADLINE = { deadlineMs: 30_000 };
const NUMBERS = Float64Array.of(1, 2, 3.5);

describe('the compute pool', () => {
  let pool: ComputePool;

  beforeEach(() => {
    pool = openComputePool({ threads: 2, heapMbMax: 96, memoryMbMax: 700, waitingMax: 3 });
  });

  afterEach(() => pool.close({ graceMs: 0 }));

  const codeOf = (promise: Promise<unknown>): Promise<string> =>
    promise.then(
      () => 'ANSWERED',
      (error: unknown) => (error instanceof ComputeError ? error.code : String(error)),
    );
  const add = (): Promise<number> => pool.run(tasks('sum'), NUMBERS, DEADLINE).then(({ total }) => total);

  it('copies typed arrays in and dates out, in another process', async () => {
    const answer = await pool.run(tasks('sum'), NUMBERS, DEADLINE);
    expect(answer).toMatchObject({ total: 6.5, at: new Date(0) });
    expect(answer.pid).not.toBe(process.pid);
  });

  it('hands no environment to a task, so no secret either', async () => {
    process.env['FORKLINE_TEST_SECRET'] = 'hush';
    const environment = await pool.run(tasks('environment'), undefined, DEADLINE);
    expect(Object.keys(environment)).not.toContain('FORKLINE_TEST_SECRET');
    expect(environment['TZ']).toBe('UTC');
  });

  it('leaves the event loop free while its threads work', async () => {
    const busy = [pool.run(tasks('spin'), 1_500, DEADLINE), pool.run(tasks('spin'), 1_500, DEADLINE)];
    let ticks = 0;
    const timer = setInterval(() => ticks++, 10);
    await Promise.all(busy);
    clearInterval(timer);
    // 150 on an idle machine; a loop blocked by the work would give none.
    expect(ticks).toBeGreaterThan(30);
  });

  it('lets a task come to its end with what it has, running or waiting, and leaves the next one alone', async () => {
    const figures: unknown[] = [];
    const enough = new AbortController();
    const running = [1, 2].map(() =>
      pool.run(tasks('countUntilEnough'), undefined, {
        ...DEADLINE,
        wrapUp: enough.signal,
        onProgress: (progress) => void (figures.push(progress.figures) === 1 && enough.abort()),
      }),
    );
    const waiting = pool.run(tasks('countUntilEnough'), undefined, { ...DEADLINE, wrapUp: enough.signal });
    const counts = await Promise.all([...running, waiting]);
    expect(counts.every((count) => count >= 1)).toBe(true);
    expect(figures[0]).toEqual({ count: 1 });
    expect(await codeOf(pool.run(tasks('countUntilEnough'), undefined, { deadlineMs: 500 }))).toBe(
      'DEADLINE_EXCEEDED',
    );
  });

  it('cuts a busy loop at the deadline and goes on', async () => {
    const startedAt = performance.now();
    expect(await codeOf(pool.run(tasks('spinForEver'), undefined, { deadlineMs: 700 }))).toBe(
      'DEADLINE_EXCEEDED',
    );
    expect(performance.now() - startedAt).toBeLessThan(3_000);
    expect(await add()).toBe(6.5);
    await eventually(
      () => pool.load,
      ({ running }) => running === 0,
      5_000,
    );
  });

  it('leaves no thread spinning after its deadline', async () => {
    const { pid } = await pool.run(tasks('sum'), NUMBERS, DEADLINE);
    await codeOf(pool.run(tasks('spinForEver'), undefined, { deadlineMs: 300 }));
    await eventually(
      () => pool.load,
      ({ running }) => running === 0,
      5_000,
    );
    const before = processorSeconds(pid);
    await new Promise((resolve) => setTimeout(resolve, 1_000));
    // A spinning thread takes a whole second of an idle processor, and still a good part of a shared one.
    expect(processorSeconds(pid) - before).toBeLessThan(0.2);
  });

  it('counts waiting against the deadline, and never runs what came too late', async () => {
    const blockers = [1, 2].map(() =>
      codeOf(pool.run(tasks('spinForEver'), undefined, { deadlineMs: 2_000 })),
    );
    expect(await codeOf(pool.run(tasks('spinForEver'), undefined, { deadlineMs: 200 }))).toBe(
      'DEADLINE_EXCEEDED',
    );
    expect(pool.load).toEqual({ running: 2, waiting: 0 });
    expect(await Promise.all(blockers)).toEqual(['DEADLINE_EXCEEDED', 'DEADLINE_EXCEEDED']);
  });

  it('cancels a running, a waiting and a not yet started task', async () => {
    await add();
    const cancel = new AbortController();
    const options = { ...DEADLINE, signal: cancel.signal };
    const three = [1, 2, 3].map(() => codeOf(pool.run(tasks('spinForEver'), undefined, options)));
    expect(pool.load).toEqual({ running: 2, waiting: 1 });
    cancel.abort();
    expect(await Promise.all(three)).toEqual(['CANCELLED', 'CANCELLED', 'CANCELLED']);
    expect(await codeOf(pool.run(tasks('spin'), 1, options))).toBe('CANCELLED');
    expect(await add()).toBe(6.5);
  });

  it('passes on what a task says when it refuses its input', async () => {
    await expect(pool.run(tasks('refuse'), 90, DEADLINE)).rejects.toMatchObject({
      code: 'REJECTED',
      retryable: false,
      rejection: { kind: 'HEM_TOO_NARROW', message: 'the hem is too narrow', details: { hemMm: 90 } },
    });
  });

  it('tells a mistake in a task from a refusal, with its stack', async () => {
    const error = await pool.run(tasks('breakDown'), undefined, DEADLINE).catch((thrown: unknown) => thrown);
    expect(error).toMatchObject({ code: 'THREW', retryable: false, thrown: { name: 'RangeError' } });
    expect((error as ComputeError).thrown?.stack).toContain('compute-tasks');
    expect(await codeOf(pool.run(tasks('giveFunction'), undefined, DEADLINE))).toBe('THREW');
    const nowhere = { module: new URL('file:///nowhere.js'), name: 'none' };
    expect(await codeOf(pool.run(nowhere, undefined, DEADLINE))).toBe('THREW');
    expect(await codeOf(pool.run(tasks('sum'), (() => 1) as never, DEADLINE))).toBe('THREW');
    expect(pool.load).toEqual({ running: 0, waiting: 0 });
  });

  it.each([
    ['ends its thread', 'exitProcess', 'CRASHED'],
    ['throws outside of itself', 'throwLater', 'CRASHED'],
    ['kills the process', 'killProcess', 'CRASHED'],
    ['fills the heap bit by bit', 'fillHeap', 'OUT_OF_MEMORY'],
    ['fills the heap at once', 'fillHeapAtOnce', 'OUT_OF_MEMORY'],
    ['fills memory outside of the heap', 'fillBuffers', 'OUT_OF_MEMORY'],
  ] as const)(
    'survives a task that %s',
    async (_what, name, code) => {
      expect(await codeOf(pool.run(tasks(name), undefined, DEADLINE))).toBe(code);
      expect(await add()).toBe(6.5);
      expect(await codeOf(pool.run(tasks(name), undefined, DEADLINE))).toBe(code);
      expect(await add()).toBe(6.5);
    },
    60_000,
  );

  it('fails a neighbour of a dead thread not at all, and of a dead process with a name', async () => {
    const ofThread = pool.run(tasks('spin'), 1_500, DEADLINE);
    expect(await codeOf(pool.run(tasks('exitProcess'), undefined, DEADLINE))).toBe('CRASHED');
    expect(await ofThread).toBeGreaterThan(0);
    const ofProcess = codeOf(pool.run(tasks('spin'), 5_000, DEADLINE));
    const waiting = [add(), add()];
    expect(await codeOf(pool.run(tasks('killProcess'), undefined, DEADLINE))).toBe('CRASHED');
    expect(await ofProcess).toBe('CRASHED');
    expect(await Promise.all(waiting)).toEqual([6.5, 6.5]);
  }, 30_000);

  it('refuses more than may wait', async () => {
    const cancel = new AbortController();
    const options = { ...DEADLINE, signal: cancel.signal };
    const accepted = [1, 2, 3, 4, 5].map(() => codeOf(pool.run(tasks('spinForEver'), undefined, options)));
    expect(await codeOf(add())).toBe('OVERLOADED');
    cancel.abort();
    expect(new Set(await Promise.all(accepted))).toEqual(new Set(['CANCELLED']));
    expect(await add()).toBe(6.5);
  });

  it('passes on at most four words of progress a second, rising', async () => {
    const said: Progress[] = [];
    await pool.run(tasks('spin'), 1_600, { ...DEADLINE, onProgress: (progress) => said.push(progress) });
    expect(said.length).toBeGreaterThan(2);
    expect(said.length).toBeLessThanOrEqual(7);
    expect(said.map(({ fraction }) => fraction)).toEqual(
      said.map(({ fraction }) => fraction).sort((a, b) => a - b),
    );
  });

  it('gives tasks at hand their time when it closes, and takes no more', async () => {
    const atHand = [1, 2, 3].map(() => pool.run(tasks('spin'), 400, DEADLINE));
    const closed = pool.close({ graceMs: 20_000 });
    expect(await codeOf(add())).toBe('CLOSED');
    await closed;
    expect((await Promise.all(atHand)).every((rounds) => rounds > 0)).toBe(true);
  });

  it('ends tasks that take longer than the time to close', async () => {
    const three = [1, 2, 3].map(() => codeOf(pool.run(tasks('spinForEver'), undefined, DEADLINE)));
    await pool.close({ graceMs: 300 });
    expect(await Promise.all(three)).toEqual(['CLOSED', 'CLOSED', 'CLOSED']);
  });

  it('leaves no process behind when its owner is killed in the middle of a task', async () => {
    const owner = spawn(process.execPath, [support('compute-owner-process.js')], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    const pid = Number(await new Promise<Buffer>((resolve) => owner.stdout.once('data', resolve)));
    expect(isRunning(pid)).toBe(true);
    owner.kill('SIGKILL');
    await eventually(
      () => isRunning(pid),
      (running) => !running,
      5_000,
    );
  }, 30_000);
});

/** A process that has ended but was not waited for yet counts as gone. */
function isRunning(pid: number): boolean {
  const stat = `/proc/${pid}/stat`;
  return existsSync(stat) && !/\) Z /.test(readFileSync(stat, 'utf8'));
}

/** Linux: fields 14 and 15 of stat, in hundredths of a second; proc(5). */
function processorSeconds(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
  return (Number(fields[11]) + Number(fields[12])) / 100;
}
