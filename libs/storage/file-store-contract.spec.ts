import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { execFileSync } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { buffer } from 'node:stream/consumers';
import { openDiskFileStore, openS3FileStore, StorageError, type FileStore } from '#storage';
import { startTestBucket } from '../../test/support/test-bucket.js';

interface OpenedStore {
  readonly store: FileStore;
  close(): Promise<void>;
}

async function onDisk(): Promise<OpenedStore> {
  const directory = await mkdtemp(join(tmpdir(), 'forkline-files-'));
  const store = await openDiskFileStore({ directory, nowMs: Date.now() });
  return { store, close: () => rm(directory, { recursive: true }) };
}

async function onS3(): Promise<OpenedStore> {
  const bucket = await startTestBucket();
  const store = await openS3FileStore({ ...bucket.options, keyPrefix: 'files/' });
  const close = async (): Promise<void> => {
    store.close();
    await bucket.stop();
  };
  return { store, close };
}

/** A program of the system's own, not the library that the store hashes with. */
const sha256sum = (content: Uint8Array): string =>
  execFileSync('sha256sum', { input: content, encoding: 'utf8' }).slice(0, 64);

async function* inChunks(content: Uint8Array, size: number): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < content.length; at += size) yield content.subarray(at, at + size);
}

describe.each([
  ['disk', onDisk],
  ['S3', onS3],
])('a file store on %s', (_, openStore) => {
  let opened: OpenedStore;
  let store: FileStore;

  beforeAll(async () => {
    opened = await openStore();
    store = opened.store;
  }, 60_000);

  afterAll(() => opened.close());

  async function contentOf(
    sha256: string,
    range?: Parameters<FileStore['open']>[1],
  ): Promise<Buffer | undefined> {
    const file = await store.open(sha256, range);
    return file === undefined ? undefined : buffer(file.stream);
  }

  // FIPS 180-2, appendix B.1: the standard's own example.
  it('names a file by the SHA-256 of what is in it', async () => {
    expect(await store.put(Buffer.from('abc'))).toEqual({
      sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
      bytes: 3,
    });
  });

  it.each([
    ['nothing', 0],
    ['one byte', 1],
    ['three million bytes', 3_000_001],
  ])('gives back %s as it was put', async (_name, size) => {
    const content = randomBytes(size);
    const stored = await store.put(content);
    expect(stored).toEqual({ sha256: sha256sum(content), bytes: size });
    const file = await store.open(stored.sha256);
    expect(file).toMatchObject({ bytes: size, first: 0, last: size - 1 });
    expect((await buffer(file!.stream)).equals(content)).toBe(true);
  });

  it('takes a stream and gives it the same name as the whole', async () => {
    const content = randomBytes(700_001);
    const stored = await store.put(inChunks(content, 65_536));
    expect(stored).toEqual({ sha256: sha256sum(content), bytes: 700_001 });
    expect((await contentOf(stored.sha256))?.equals(content)).toBe(true);
  });

  it('gives any part of a file', async () => {
    const content = randomBytes(1_000);
    const { sha256 } = await store.put(content);
    const position = fc.integer({ min: 0, max: 999 });
    await fc.assert(
      fc.asyncProperty(position, fc.integer({ min: 0, max: 1_500 }), async (first, more) => {
        const file = await store.open(sha256, { first, last: first + more });
        expect(file).toMatchObject({ bytes: 1_000, first, last: Math.min(first + more, 999) });
        expect(await buffer(file!.stream)).toEqual(content.subarray(first, first + more + 1));
      }),
      { numRuns: 25 },
    );
    expect(await contentOf(sha256, { first: 400 })).toEqual(content.subarray(400));
  });

  it.each([
    [{ first: 10 }],
    [{ first: 11, last: 12 }],
    [{ first: 5, last: 4 }],
    [{ first: -3, last: 4 }],
    [{ first: 0.5, last: 4 }],
  ])('refuses the range %j of ten bytes', async (range) => {
    const { sha256 } = await store.put(Buffer.from('0123456789'));
    await expect(store.open(sha256, range)).rejects.toMatchObject({
      code: 'RANGE_UNSATISFIABLE',
      details: { bytes: 10 },
    });
  });

  it('lists what was put before a time, and nothing else', async () => {
    const stored = await Promise.all([1, 2, 3].map((n) => store.put(Buffer.from(`listed ${n}`))));
    const hashes = stored.map(({ sha256 }) => sha256);
    const listed = async (before: Date): Promise<string[]> => {
      const found: string[] = [];
      for await (const hash of store.list(before)) found.push(hash);
      return found;
    };
    // A store keeps times to the second or finer, by its own clock.
    const soon = await listed(new Date(Date.now() + 3_600_000));
    expect(hashes.every((hash) => soon.includes(hash))).toBe(true);
    expect(soon.every((hash) => /^[0-9a-f]{64}$/.test(hash))).toBe(true);
    expect(await listed(new Date(Date.now() - 3_600_000))).toEqual([]);
    await store.remove(hashes[0]);
    expect(await listed(new Date(Date.now() + 3_600_000))).not.toContain(hashes[0]);
  });

  it('does not have what was never put, and removes what is not there without a word', async () => {
    const absent = sha256sum(randomBytes(16));
    expect(await store.has(absent)).toBe(false);
    expect(await store.open(absent)).toBeUndefined();
    await store.remove(absent);
  });

  it('has a file until it is removed, and again when it is put again', async () => {
    const content = randomBytes(100);
    const { sha256 } = await store.put(content);
    expect(await store.has(sha256)).toBe(true);
    await store.remove(sha256);
    expect(await store.has(sha256)).toBe(false);
    expect(await store.open(sha256)).toBeUndefined();
    await store.put(content);
    expect(await contentOf(sha256)).toEqual(content);
  });

  it('is not confused by ten writers of the same content', async () => {
    const content = randomBytes(200_000);
    const stored = await Promise.all(Array.from({ length: 10 }, () => store.put(inChunks(content, 10_000))));
    expect(new Set(stored.map(({ sha256 }) => sha256)).size).toBe(1);
    expect((await contentOf(stored[0]?.sha256 ?? ''))?.equals(content)).toBe(true);
  });

  it.each(['', 'abc', '../../../../etc/passwd', 'A'.repeat(64), `${'a'.repeat(64)}\n`])(
    'takes %j for no hash',
    async (text) => {
      for (const use of [() => store.open(text), () => store.has(text), () => store.remove(text)]) {
        await expect(use()).rejects.toMatchObject({ code: 'HASH_INVALID' });
      }
    },
  );

  it('says whose fault it is when the content breaks off, and keeps nothing of it', async () => {
    const part = randomBytes(50_000);
    const cause = new Error('the engine stopped');
    async function* broken(): AsyncGenerator<Uint8Array> {
      yield part;
      throw cause;
    }
    const failure: unknown = await store.put(broken()).catch((error: unknown) => error);
    expect(failure).toBeInstanceOf(StorageError);
    expect(failure).toMatchObject({ code: 'CONTENT_FAILED', retryable: false, cause });
    expect(await store.has(sha256sum(part))).toBe(false);
  });
});
