import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const MAIN = fileURLToPath(new URL('../../apps/cli/main.js', import.meta.url));

export interface Ended {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

export interface Started {
  readonly pid: number;
  readonly ended: Promise<Ended>;
  /** As Ctrl-C does. */
  interrupt(): void;
  /** As a crash would: no warning. */
  kill(): void;
  /** What it has written so far. */
  said(): string;
  /** Stop reading what it prints, as `| head` does. */
  leave(): void;
}

/** Run the command line as a shell does: the built program in a process of its own. */
export function startForkline(
  words: readonly string[],
  cwd: string,
  settings: Readonly<Record<string, string>> = {},
): Started {
  const child = spawn(process.execPath, [MAIN, ...words], {
    cwd,
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, ...settings },
  });
  const text = { out: '', err: '' };
  child.stdout.setEncoding('utf8').on('data', (piece: string) => (text.out += piece));
  child.stderr.setEncoding('utf8').on('data', (piece: string) => (text.err += piece));
  const ended = new Promise<Ended>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (code) => resolve({ code, ...text }));
  });
  return {
    pid: child.pid ?? 0,
    ended,
    interrupt: () => child.kill('SIGINT'),
    kill: () => child.kill('SIGKILL'),
    said: () => text.out,
    leave: () => child.stdout.destroy(),
  };
}

export function forkline(
  words: readonly string[],
  cwd: string,
  settings: Readonly<Record<string, string>> = {},
): Promise<Ended> {
  return startForkline(words, cwd, settings).ended;
}

/** An empty folder for the time of `work`. */
export async function inFolder(work: (dir: string) => Promise<void>): Promise<void> {
  const dir = await mkdtemp(join(tmpdir(), 'forkline-test-'));
  try {
    await work(dir);
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}
