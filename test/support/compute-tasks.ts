import { createHash } from 'node:crypto';
import { TaskRejectedError, type TaskContext } from '#compute';

/** Tasks of the pool's own tests: well-behaved, refusing, broken and malicious. */

export function sum(numbers: Float64Array): {
  readonly total: number;
  readonly at: Date;
  readonly pid: number;
} {
  return { total: numbers.reduce((a, b) => a + b, 0), at: new Date(0), pid: process.pid };
}

export function environment(): Promise<Record<string, string | undefined>> {
  return Promise.resolve({ ...process.env });
}

export function spin(ms: number, { progress }: TaskContext): number {
  const endsAt = performance.now() + ms;
  let rounds = 0;
  while (performance.now() < endsAt) {
    createHash('sha256').update(String(rounds++)).digest();
    progress({ stage: 'spinning', fraction: 1 - (endsAt - performance.now()) / ms });
  }
  return rounds;
}

/** Counts until it is told that it is enough, which is its answer; never without. */
export function countUntilEnough(_: undefined, { progress, isToWrapUp }: TaskContext): number {
  for (let count = 1; ; count++) {
    progress({ stage: 'counting', fraction: 0.5, figures: { count } });
    if (isToWrapUp()) return count;
  }
}

export function spinForEver(): never {
  for (;;);
}

export function refuse(hemMm: number): never {
  throw new TaskRejectedError('HEM_TOO_NARROW', 'the hem is too narrow', { hemMm });
}

export function breakDown(): never {
  throw new RangeError('an invariant does not hold');
}

export function giveFunction(): unknown {
  return () => 1;
}

export function exitProcess(): never {
  process.exit(3);
}

export function killProcess(): Promise<never> {
  process.kill(process.pid, 'SIGKILL');
  return new Promise(() => undefined);
}

export function throwLater(): Promise<never> {
  setTimeout(() => {
    throw new Error('thrown outside of the task');
  });
  return new Promise(() => undefined);
}

/** Many small objects: the thread's heap fills up. */
export function fillHeap(): never {
  const kept: unknown[] = [];
  for (;;) kept.push(Array.from({ length: 1000 }, (_, i) => ({ i })));
}

/** One huge table: V8 gives up on the whole process. */
export function fillHeapAtOnce(): number {
  return new Array<number>(5e7).fill(1.5).map((x) => ({ x })).length;
}

/** Outside of V8's heap. */
export function fillBuffers(): Promise<never> {
  const kept: Buffer[] = [];
  for (;;) kept.push(Buffer.alloc(4_000_000, 1));
}
