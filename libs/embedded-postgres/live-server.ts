import { readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { commandLine } from './running-process.js';

/** What a running server says about itself in `postmaster.pid`. */
export interface LiveServer {
  readonly pid: number;
  readonly port: number;
  readonly status: 'starting' | 'ready' | 'stopping';
}

// Lines of postmaster.pid, counted from 0 (PostgreSQL source, src/include/utils/pidfile.h).
const PID_LINE = 0;
const PORT_LINE = 3;
const STATUS_LINE = 7;

/** The server that runs on `dataDirectory` now, whoever started it. */
export async function liveServer(dataDirectory: string): Promise<LiveServer | undefined> {
  const lines = await pidFileLines(dataDirectory);
  const pid = Number(lines[PID_LINE]);
  if (!(await servesDirectory(pid, dataDirectory))) return undefined;
  return { pid, port: Number(lines[PORT_LINE]), status: statusOf(lines[STATUS_LINE]?.trim()) };
}

/**
 * Remove the pid file of a dead server whose number a stranger now has.
 *
 * Postgres would take the stranger for its predecessor and refuse for ever, which is the usual state of
 * a container started again. What a dead server's children still hold, Postgres checks by the shared memory.
 */
export async function dropStrangersPidFile(dataDirectory: string): Promise<void> {
  const pid = Number((await pidFileLines(dataDirectory))[PID_LINE]);
  if (!isHeld(pid) || (await servesDirectory(pid, dataDirectory))) return;
  await rm(join(dataDirectory, 'postmaster.pid'), { force: true });
}

async function servesDirectory(pid: number, dataDirectory: string): Promise<boolean> {
  if (!(pid > 0)) return false;
  // Something always follows the folder, so the blank keeps /srv/data from matching /srv/data-old.
  return (await commandLine(pid)).includes(` -D ${dataDirectory} `);
}

async function pidFileLines(dataDirectory: string): Promise<readonly string[]> {
  try {
    return (await readFile(join(dataDirectory, 'postmaster.pid'), 'utf8')).split('\n');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}

function statusOf(word: string | undefined): LiveServer['status'] {
  if (word === 'ready' || word === 'stopping') return word;
  return 'starting'; // also before the line is written
}

function isHeld(pid: number): boolean {
  if (!(pid > 0)) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}
