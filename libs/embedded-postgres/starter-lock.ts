import { randomBytes } from 'node:crypto';
import { link, readFile, readdir, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { EmbeddedPostgresError } from './embedded-postgres-error.js';
import { identify, isRunning, type ProcessIdentity } from './running-process.js';

const LOCK_NAME = 'starter.lock';

/** Short beside a start (100 ms), long beside a look at a file. */
const LOOK_AGAIN_MS = 50;

/**
 * Run `work` while no other starter of the same folder runs.
 *
 * The lock is a file that names its holder; a holder that no longer runs has lost it, so a killed starter
 * stops nobody. It appears whole (written aside, then linked), so it is never read half written.
 *
 * The lock saves double work and is not what keeps the data safe: two starters that slip past it still meet
 * an atomic rename when creating and Postgres' own lock when starting.
 */
export async function withStarterLock<T>(
  home: string,
  deadlineMs: number,
  work: () => Promise<T>,
): Promise<T> {
  const path = join(home, LOCK_NAME);
  const mine = await offer(home);
  try {
    while (!(await isTaken(mine, path))) {
      if (performance.now() > deadlineMs) throw lockTimeout(path, await holderOf(path));
      await dropIfDead(path);
      await sleep(LOOK_AGAIN_MS);
    }
    await sweepOffers(home);
    try {
      return await work();
    } finally {
      await rm(path, { force: true });
    }
  } finally {
    await rm(mine, { force: true });
  }
}

async function offer(home: string): Promise<string> {
  const identity = await identify(process.pid);
  const path = join(home, `${LOCK_NAME}.${process.pid}.${randomBytes(6).toString('hex')}`);
  await writeFile(path, JSON.stringify(identity), { flag: 'wx', mode: 0o600 });
  return path;
}

async function isTaken(mine: string, path: string): Promise<boolean> {
  try {
    await link(mine, path);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    return false;
  }
}

// Moved aside before it is removed: if a newer lock was caught instead of the dead one, it is put back.
async function dropIfDead(path: string): Promise<void> {
  const holder = await holderOf(path);
  if (holder === undefined || (await isRunning(holder))) return;
  const aside = `${path}.${process.pid}.${randomBytes(6).toString('hex')}`;
  try {
    await rename(path, aside);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return;
    throw error;
  }
  const caught = await holderOf(aside);
  if (caught !== undefined && (await isRunning(caught))) await isTaken(aside, path);
  await rm(aside, { force: true });
}

async function holderOf(path: string): Promise<ProcessIdentity | undefined> {
  try {
    return JSON.parse(await readFile(path, 'utf8')) as ProcessIdentity;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    if (error instanceof SyntaxError) return { pid: 0, started: 'unreadable' };
    throw error;
  }
}

/** Starters killed while they waited leave their offer behind. */
async function sweepOffers(home: string): Promise<void> {
  for (const name of await readdir(home)) {
    const pid = /^starter\.lock\.(\d+)\./.exec(name)?.[1];
    if (pid !== undefined && (await identify(Number(pid))) === undefined)
      await rm(join(home, name), { force: true });
  }
}

function lockTimeout(path: string, holder: ProcessIdentity | undefined): EmbeddedPostgresError {
  return new EmbeddedPostgresError(
    'LOCK_TIMEOUT',
    `Process ${holder?.pid ?? 'unknown'} has been starting the server for too long (${path}). End it and try again.`,
  );
}
