import { createHash } from 'node:crypto';
import { access, chmod, constants, lstat, mkdir, realpath } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { clusterIn, dataVersion } from './create-cluster.js';
import { EmbeddedPostgresError } from './embedded-postgres-error.js';
import { canEnter, type ServerUser } from './server-user.js';

export interface HomeOptions {
  /** Where the caller wants the server's files. */
  readonly directory: string;
  /** Where they go when the server's user cannot enter that: kept over a restart of the machine. */
  readonly fallbackParent: string;
}

/**
 * The folder that holds the server's files: `directory`, or one below the system's var/tmp.
 *
 * The second is for a folder that cannot be written, or that the server's user cannot enter because it lies
 * below somebody's closed home. Data once begun there is found there again.
 */
export async function serverHome(
  { directory, fallbackParent }: HomeOptions,
  user: ServerUser,
): Promise<string> {
  const wanted = await makeEnterable(directory, user);
  const fallback = fallbackFor(directory, fallbackParent);
  if (wanted !== undefined) {
    const elsewhere = await dataVersion(clusterIn(fallback)).catch(() => undefined);
    if (elsewhere === undefined || (await dataVersion(clusterIn(wanted))) !== undefined) return wanted;
  }
  const used = await makeEnterable(fallback, user);
  if (used === undefined) {
    throw new EmbeddedPostgresError(
      'DIRECTORY_UNUSABLE',
      `Neither ${directory} nor ${fallback} can be used by the database server. Make one of them writable, or set DATABASE_URL to a server of your own.`,
    );
  }
  await requireOurs(used);
  return used;
}

// One name per project and user, so that two checkouts do not share a server by accident.
function fallbackFor(directory: string, parent: string): string {
  const hash = createHash('sha256').update(directory).digest('hex').slice(0, 12);
  return join(parent, `forkline-${process.getuid?.() ?? 'user'}-${basename(directory)}-${hash}`);
}

async function makeEnterable(directory: string, user: ServerUser): Promise<string | undefined> {
  try {
    await makeFolders(directory);
    await access(directory, constants.W_OK | constants.X_OK);
  } catch (error) {
    if (['EACCES', 'EPERM', 'EROFS'].includes((error as NodeJS.ErrnoException).code ?? '')) return undefined;
    throw error;
  }
  return (await canEnter(user, directory)) ? realpath(directory) : undefined;
}

// Opened one by one: a strict umask would close the new folders to the server's user.
async function makeFolders(directory: string): Promise<void> {
  const first = await mkdir(directory, { recursive: true });
  if (first === undefined) return;
  for (let made = directory; made.length >= first.length; made = dirname(made)) await chmod(made, 0o755);
}

/** Anyone may write below var/tmp: a folder laid there by somebody else, or open to others, is not used. */
async function requireOurs(directory: string): Promise<void> {
  const { uid, mode } = await lstat(directory);
  if (uid === process.getuid?.() && (mode & 0o022) === 0) return;
  throw new EmbeddedPostgresError(
    'DIRECTORY_UNUSABLE',
    `${directory} belongs to somebody else. Remove it, or set DATABASE_URL.`,
  );
}
