import { createRequire } from 'node:module';
import type { AddressInfo } from 'node:net';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { S3FileStoreOptions } from '#storage';

/** A bucket on a server that speaks S3, on this machine, for one test file. */
export interface TestBucket {
  readonly options: S3FileStoreOptions;
  stop(): Promise<void>;
}

interface S3Server {
  run(): Promise<AddressInfo>;
  close(): Promise<void>;
}

// The package has no types; this is the part of it that is used, as its README gives it.
type S3ServerClass = new (options: {
  port: number;
  address: string;
  silent: boolean;
  directory: string;
  configureBuckets: { name: string }[];
}) => S3Server;

const BUCKET = 'forkline-test';

export async function startTestBucket(): Promise<TestBucket> {
  const S3rver = createRequire(import.meta.url)('s3rver') as S3ServerClass;
  const directory = await mkdtemp(join(tmpdir(), 'forkline-s3-'));
  const place = { port: 0, address: '127.0.0.1', silent: true, directory };
  const server = new S3rver({ ...place, configureBuckets: [{ name: BUCKET }] });
  const { port } = await server.run();
  return {
    options: {
      bucket: BUCKET,
      region: 'eu-central-1',
      endpoint: `http://127.0.0.1:${port}`,
      bucketInPath: true,
      // The pair that this server knows; it guards nothing.
      credentials: { accessKeyId: 'S3RVER', secretAccessKey: 'S3RVER' },
    },
    stop: async () => {
      await server.close();
      await rm(directory, { recursive: true });
    },
  };
}
