import { execFile } from 'node:child_process';
import { lchown, readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { EmbeddedPostgresError } from './embedded-postgres-error.js';

const run = promisify(execFile);

/** Whom the server runs as. Without numbers: as whoever runs us. */
export interface ServerUser {
  readonly uid?: number;
  readonly gid?: number;
}

/** Postgres refuses to run as root. Debian and most images have the first name, every Unix has the second. */
const NAMES_FOR_ROOT = ['postgres', 'nobody'] as const;

/** The owner of the data where there is some, so that root can take over a normal user's server. */
export async function serverUser(dataDirectory: string): Promise<ServerUser> {
  if (process.getuid?.() !== 0) return {};
  const owner = await stat(dataDirectory).catch(() => undefined);
  if (owner !== undefined && owner.uid !== 0) return { uid: owner.uid, gid: owner.gid };
  for (const name of NAMES_FOR_ROOT) {
    const uid = await numberOf(name, '-u');
    const gid = await numberOf(name, '-g');
    if (uid !== undefined && gid !== undefined && uid !== 0) return { uid, gid };
  }
  throw new EmbeddedPostgresError(
    'NO_SERVER_USER',
    `Postgres does not run as root and this system has no user ${NAMES_FOR_ROOT.join(' or ')}. Add one, run as a normal user, or set DATABASE_URL to a server of your own.`,
  );
}

/** Whether that user can enter the folder, asked of the system itself so that every kind of right counts. */
export async function canEnter(user: ServerUser, directory: string): Promise<boolean> {
  try {
    await run('/bin/sh', ['-c', 'cd -- "$1"', 'sh', directory], { ...user, cwd: '/' });
    return true;
  } catch {
    return false;
  }
}

/** Make that user the owner. Nothing happens where the server runs as whoever runs us. */
export async function giveTo({ uid, gid }: ServerUser, path: string): Promise<void> {
  if (uid !== undefined && gid !== undefined) await lchown(path, uid, gid);
}

export async function giveTree(user: ServerUser, directory: string): Promise<void> {
  await giveTo(user, directory);
  const entries = await readdir(directory, { recursive: true, withFileTypes: true });
  for (const { parentPath, name } of entries) await giveTo(user, join(parentPath, name));
}

async function numberOf(name: string, flag: '-u' | '-g'): Promise<number | undefined> {
  try {
    return Number((await run('id', [flag, name])).stdout);
  } catch {
    return undefined; // id answers 1 for a user that is not there
  }
}
