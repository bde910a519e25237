import { randomBytes } from 'node:crypto';
import { mkdir, open, readdir, rename, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { requireHash, resolveRange } from './file-store.js';
import type { ByteRange, FileStore, OpenedFile, StoredFile } from './file-store.js';
import { StorageError } from './storage-error.js';
import { writeNewFile } from './write-file.js';

export interface DiskFileStoreOptions {
  readonly directory: string;
  /** Milliseconds since 1970; to know what a writer that was killed has left behind. */
  readonly nowMs: number;
}

/** No file takes a day to write: what is older in `incoming` was left by a writer that was killed. */
const INCOMING_MS_MAX = 24 * 3_600_000;

/**
 * A file store in a folder of this machine, or of a disk that several machines share.
 *
 * Shape   `ab/cdef...`: the first two digits of the hash, then the rest. What is being written is in `incoming`
 *         and comes into place by rename, after its bytes are on the disk; then the folder is written too, so
 *         that a power cut after `put` has returned loses nothing.
 */
export async function openDiskFileStore({ directory, nowMs }: DiskFileStoreOptions): Promise<FileStore> {
  const incoming = join(directory, 'incoming');
  await asStorage(async () => {
    await mkdir(incoming, { recursive: true });
    await sweep(incoming, nowMs - INCOMING_MS_MAX);
  });
  return {
    put: (content) => asStorage(() => put(directory, incoming, content)),
    open: (sha256, range) => asStorage(() => openFile(pathOf(directory, sha256), range)),
    has: (sha256) => asStorage(async () => (await ifThere(stat(pathOf(directory, sha256)))) !== undefined),
    list: (before) => list(directory, before.getTime()),
    remove: (sha256) => asStorage(() => rm(pathOf(directory, sha256), { force: true })),
    close: () => undefined,
  };
}

async function put(
  directory: string,
  incoming: string,
  content: Uint8Array | AsyncIterable<Uint8Array>,
): Promise<StoredFile> {
  const written = join(incoming, `${process.pid}.${randomBytes(8).toString('hex')}`);
  try {
    const stored = await writeNewFile(written, content);
    const path = pathOf(directory, stored.sha256);
    const firstMade = await mkdir(dirname(path), { recursive: true });
    // Over a file that is there already: its content is the same, and if it ever was not, now it is.
    await rename(written, path);
    await syncFolder(dirname(path));
    if (firstMade !== undefined) await syncFolder(directory);
    return stored;
  } catch (error) {
    await rm(written, { force: true });
    throw error;
  }
}

async function* list(directory: string, beforeMs: number): AsyncGenerator<string> {
  for (const folder of await asStorage(() => readdir(directory))) {
    if (!/^[0-9a-f]{2}$/.test(folder)) continue;
    for (const rest of await asStorage(() => readdir(join(directory, folder)))) {
      if (!/^[0-9a-f]{62}$/.test(rest)) continue;
      const found = await asStorage(() => ifThere(stat(join(directory, folder, rest))));
      if (found !== undefined && found.mtimeMs < beforeMs) yield folder + rest;
    }
  }
}

async function openFile(path: string, range: ByteRange | undefined): Promise<OpenedFile | undefined> {
  const file = await ifThere(open(path, 'r'));
  if (file === undefined) return undefined;
  try {
    const { size: bytes } = await file.stat();
    const { first, last } = resolveRange(range, bytes);
    // Node reads from `start` to the end of an empty file's range all the same: -1 is not a last byte it takes.
    const end = bytes === 0 ? {} : { end: last };
    return { stream: file.createReadStream({ start: first, ...end }), bytes, first, last };
  } catch (error) {
    await file.close();
    throw error;
  }
}

function pathOf(directory: string, sha256: string): string {
  requireHash(sha256);
  return join(directory, sha256.slice(0, 2), sha256.slice(2));
}

async function syncFolder(path: string): Promise<void> {
  const folder = await open(path, 'r');
  await folder.sync().finally(() => folder.close());
}

async function sweep(incoming: string, beforeMs: number): Promise<void> {
  for (const name of await readdir(incoming)) {
    const path = join(incoming, name);
    const found = await ifThere(stat(path));
    if (found !== undefined && found.mtimeMs < beforeMs) await rm(path, { force: true });
  }
}

async function ifThere<T>(found: Promise<T>): Promise<T | undefined> {
  try {
    return await found;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}

async function asStorage<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    if (cause instanceof StorageError) throw cause;
    const { code = 'none' } = cause as NodeJS.ErrnoException;
    throw new StorageError('UNAVAILABLE', { reason: code }, { cause });
  }
}
