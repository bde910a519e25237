import { fork, type ChildProcess } from 'node:child_process';
import { createWriteStream } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';

export interface ChildServiceOptions {
  readonly name: 'api' | 'worker';
  readonly environment: Readonly<Record<string, string>>;
  readonly logFile: string;
  readonly url: string;
}

/** The API or the worker, as a process of its own that ends when this one does. */
export interface ChildService {
  readonly name: string;
  readonly logFile: string;
  /** Resolves when it answers that it is ready; throws ServiceError when it ends before, or takes too long. */
  ready(): Promise<void>;
  /** Resolves when it is gone, with how: an exit code or a signal, in words. */
  readonly ended: Promise<string>;
  /** It drains what it does; when it does not end in time it is killed, and whoever comes next takes over. */
  stop(): Promise<void>;
}

/** A service that was started did not come up, or went down. */
export class ServiceError extends Error {
  override readonly name = 'ServiceError';

  constructor(lines: readonly string[]) {
    super(lines.join('\n'));
  }
}

const READY_MS_MAX = 60_000;
const LOOK_AGAIN_MS = 50;
const STOP_MS_MAX = 20_000;
const TAIL_LINES = 8;
const GUARD = new URL('./end-with-parent.js', import.meta.url).href;

export function startChild({ name, environment, logFile, url }: ChildServiceOptions): ChildService {
  const main = fileURLToPath(new URL(`../${name}/main.js`, import.meta.url));
  const child = fork(main, [], {
    env: environment,
    execArgv: ['--import', GUARD],
    stdio: ['ignore', 'pipe', 'pipe', 'ipc'],
    // A Ctrl-C at the terminal is for the command line, which ends its services in order.
    detached: true,
  });
  const log = createWriteStream(logFile, { flags: 'w', mode: 0o640 });
  child.stdout?.pipe(log, { end: false });
  child.stderr?.pipe(log, { end: false });
  const ended = new Promise<string>((resolve) => {
    child.once('error', () => resolve('could not be run'));
    child.once('close', (code, signal) => log.end(() => resolve(howEnded(code, signal))));
  });
  return {
    name,
    logFile,
    ended,
    ready: async () => {
      const isReady = await Promise.race([answers(`${url}/readyz`), ended.then(() => 'ended' as const)]);
      if (isReady === 'ready') return;
      throw new ServiceError(await failureLines(name, logFile, isReady));
    },
    stop: () => stop(child, ended),
  };
}

function howEnded(code: number | null, signal: NodeJS.Signals | null): string {
  return signal === null ? `exit code ${code}` : `killed by ${signal}`;
}

async function answers(url: string): Promise<'ready' | 'late'> {
  const deadlineMs = performance.now() + READY_MS_MAX;
  while (performance.now() < deadlineMs) {
    const response = await fetch(url, { signal: AbortSignal.timeout(5_000) }).catch(() => undefined);
    if (response?.ok === true) return 'ready';
    await sleep(LOOK_AGAIN_MS);
  }
  return 'late';
}

async function failureLines(name: string, logFile: string, how: 'ended' | 'late'): Promise<string[]> {
  const said =
    how === 'ended' ? 'ended before it was ready' : `was not ready within ${READY_MS_MAX / 1000} s`;
  const tail = (await readFile(logFile, 'utf8').catch(() => '')).trimEnd().split('\n').slice(-TAIL_LINES);
  return [`The ${name} ${said}. The end of ${logFile}:`, ...tail];
}

async function stop(child: ChildProcess, ended: Promise<string>): Promise<void> {
  child.kill('SIGTERM');
  const timer = setTimeout(() => child.kill('SIGKILL'), STOP_MS_MAX);
  await ended;
  clearTimeout(timer);
}
