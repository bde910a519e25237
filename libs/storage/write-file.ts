import { createHash } from 'node:crypto';
import { open } from 'node:fs/promises';
import type { StoredFile } from './file-store.js';
import { StorageError } from './storage-error.js';

/** Write content to a new file, to the disk itself and not only to the system's memory, and hash it on the way. */
export async function writeNewFile(
  path: string,
  content: Uint8Array | AsyncIterable<Uint8Array>,
): Promise<StoredFile> {
  const hash = createHash('sha256');
  let bytes = 0;
  const file = await open(path, 'wx', 0o640);
  try {
    for await (const chunk of chunksOf(content)) {
      hash.update(chunk);
      bytes += chunk.byteLength;
      await file.writeFile(chunk);
    }
    await file.sync();
  } finally {
    await file.close();
  }
  return { sha256: hash.digest('hex'), bytes };
}

/** The caller's own stream may break, which is not the store's fault and is said apart. */
async function* chunksOf(content: Uint8Array | AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  if (content instanceof Uint8Array) {
    yield content;
    return;
  }
  const chunks = content[Symbol.asyncIterator]();
  try {
    for (;;) {
      const next = await chunks.next().catch((cause: unknown) => {
        throw new StorageError('CONTENT_FAILED', {}, { cause });
      });
      if (next.done === true) return;
      yield next.value;
    }
  } finally {
    await chunks.return?.();
  }
}
