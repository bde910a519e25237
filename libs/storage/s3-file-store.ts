import type { S3Client } from '@aws-sdk/client-s3';
import { createReadStream } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Readable } from 'node:stream';
import { requireHash, resolveRange } from './file-store.js';
import type { ByteRange, FileStore, OpenedFile, StoredFile } from './file-store.js';
import { StorageError } from './storage-error.js';
import { writeNewFile } from './write-file.js';

export interface S3FileStoreOptions {
  readonly bucket: string;
  readonly region: string;
  /** Before every key; ends in a slash when it is to look like a folder. */
  readonly keyPrefix?: string;
  /** Of a server other than Amazon's. */
  readonly endpoint?: string;
  /** The bucket in the path and not in the host's name; most other servers need it. */
  readonly bucketInPath?: boolean;
  /** Missing: as the SDK finds them (environment, files, the machine's role). */
  readonly credentials?: { readonly accessKeyId: string; readonly secretAccessKey: string };
}

type Sdk = typeof import('@aws-sdk/client-s3');

interface Bucket {
  readonly sdk: Sdk;
  readonly client: S3Client;
  readonly name: string;
  keyOf(sha256: string): string;
}

/**
 * A file store in a bucket, for a service on several machines.
 *
 * The content is first written to a local file, because its hash is its key and has to be known before the
 * upload begins. S3 shows an object when it is whole, and writing the same one twice changes nothing, so no
 * conditional request is needed.
 */
export async function openS3FileStore(options: S3FileStoreOptions): Promise<FileStore> {
  // Loaded here: a shop that keeps its files on disk does not wait half a second for the SDK.
  const sdk = await import('@aws-sdk/client-s3');
  const { region, endpoint, credentials, bucketInPath = false, keyPrefix = '' } = options;
  const client = new sdk.S3Client({
    region,
    forcePathStyle: bucketInPath,
    ...(endpoint === undefined ? {} : { endpoint }),
    ...(credentials === undefined ? {} : { credentials }),
  });
  const keyOf = (sha256: string): string => {
    requireHash(sha256);
    return keyPrefix + sha256;
  };
  const bucket: Bucket = { sdk, client, name: options.bucket, keyOf };
  return {
    put: (content) => asStorage(() => put(bucket, content)),
    open: (sha256, range) => asStorage(() => openObject(bucket, sha256, range)),
    has: (sha256) => asStorage(async () => (await sizeOf(bucket, sha256)) !== undefined),
    list: (before) => list(bucket, keyPrefix, before),
    remove: (sha256) => asStorage(() => remove(bucket, sha256)),
    close: () => client.destroy(),
  };
}

async function put(bucket: Bucket, content: Uint8Array | AsyncIterable<Uint8Array>): Promise<StoredFile> {
  const { sdk, client, name, keyOf } = bucket;
  const folder = await mkdtemp(join(tmpdir(), 'forkline-upload-'));
  try {
    const path = join(folder, 'content');
    const stored = await writeNewFile(path, content);
    // The hash we know anyway lets the server refuse what was damaged on the way, and keeps the SDK from adding
    // a checksum of its own behind the content, which many servers other than Amazon's store as content.
    const checksum = { ChecksumSHA256: Buffer.from(stored.sha256, 'hex').toString('base64') };
    const body = { Body: createReadStream(path), ContentLength: stored.bytes, ...checksum };
    await client.send(new sdk.PutObjectCommand({ Bucket: name, Key: keyOf(stored.sha256), ...body }));
    return stored;
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function openObject(
  bucket: Bucket,
  sha256: string,
  range?: ByteRange,
): Promise<OpenedFile | undefined> {
  const { sdk, client, name, keyOf } = bucket;
  const bytes = await sizeOf(bucket, sha256);
  if (bytes === undefined) return undefined;
  const { first, last } = resolveRange(range, bytes);
  const wanted = range === undefined ? {} : { Range: `bytes=${first}-${last}` };
  const object = await unlessAbsent(
    client.send(new sdk.GetObjectCommand({ Bucket: name, Key: keyOf(sha256), ...wanted })),
  );
  // Under Node the SDK's body is a Node stream; its type also covers browsers.
  return object === undefined ? undefined : { stream: object.Body as Readable, bytes, first, last };
}

async function sizeOf({ sdk, client, name, keyOf }: Bucket, sha256: string): Promise<number | undefined> {
  const head = new sdk.HeadObjectCommand({ Bucket: name, Key: keyOf(sha256) });
  return (await unlessAbsent(client.send(head)))?.ContentLength;
}

async function remove({ sdk, client, name, keyOf }: Bucket, sha256: string): Promise<void> {
  await client.send(new sdk.DeleteObjectCommand({ Bucket: name, Key: keyOf(sha256) }));
}

async function* list({ sdk, client, name }: Bucket, keyPrefix: string, before: Date): AsyncGenerator<string> {
  let next: string | undefined;
  do {
    const page = await asStorage(() =>
      client.send(new sdk.ListObjectsV2Command({ Bucket: name, Prefix: keyPrefix, ContinuationToken: next })),
    );
    for (const { Key = '', LastModified } of page.Contents ?? []) {
      const sha256 = Key.slice(keyPrefix.length);
      if (/^[0-9a-f]{64}$/.test(sha256) && LastModified !== undefined && LastModified < before) yield sha256;
    }
    next = page.NextContinuationToken;
  } while (next !== undefined);
}

async function unlessAbsent<T>(answer: Promise<T>): Promise<T | undefined> {
  try {
    return await answer;
  } catch (error) {
    // HEAD has no body, so its error has no name of its own.
    if (['NoSuchKey', 'NotFound'].includes((error as Error).name)) return undefined;
    throw error;
  }
}

async function asStorage<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    if (cause instanceof StorageError) throw cause;
    throw new StorageError('UNAVAILABLE', { reason: (cause as Error).name }, { cause });
  }
}
