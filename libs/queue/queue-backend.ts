import {
  createPostgresBackend,
  createRedisBackend,
  withBackend,
  type Job,
  type Processor,
  type Queue,
  type Worker,
  type WorkerOptions,
} from 'bullmq';
import type { StoredJob } from './job-definition.js';

export type QueueBackend =
  { readonly kind: 'postgres'; readonly url: string } | { readonly kind: 'redis'; readonly url: string };

export type StoredQueueJob = Job<StoredJob, string>;

/** The part of a BullMQ queue that is used here; on either backend. */
export type BackendQueue = Pick<
  Queue<StoredJob, string>,
  'add' | 'getJob' | 'getJobCounts' | 'getFailed' | 'clean' | 'close' | 'waitUntilReady'
> & { on(event: 'error', listener: (error: Error) => void): unknown };

export type BackendWorker = Pick<
  Worker<StoredJob, string>,
  'run' | 'close' | 'cancelJob' | 'cancelAllJobs' | 'waitUntilReady'
> & {
  on(event: 'error', listener: (error: Error) => void): unknown;
  on(event: 'failed', listener: (job: StoredQueueJob | undefined, error: Error) => void): unknown;
  on(event: 'lockRenewalFailed', listener: (jobIds: string[]) => void): unknown;
};

export type BackendWorkerOptions = Pick<
  WorkerOptions,
  'concurrency' | 'lockDuration' | 'stalledInterval' | 'maxStalledCount' | 'settings' | 'runRetryDelay'
>;

export interface QueueDriver {
  openQueue(name: string): BackendQueue;
  openWorker(
    name: string,
    processor: Processor<StoredJob, string>,
    options: BackendWorkerOptions,
  ): BackendWorker;
}

/**
 * Connections one queue or worker may hold. A worker fetches, renews locks and looks for stalled jobs at once;
 * more would only eat the server's hundred.
 */
const POSTGRES_POOL_SIZE = 4;

/** Bound the queue library to a backend; only the connection differs. */
export function driverOf(backend: QueueBackend, prefix: string): QueueDriver {
  switch (backend.kind) {
    case 'postgres':
      return postgresDriver(backend.url, prefix);
    case 'redis':
      return redisDriver(backend.url, prefix);
  }
}

function postgresDriver(url: string, prefix: string): QueueDriver {
  const { Queue, Worker } = withBackend(createPostgresBackend);
  // The prefix is the schema: on Postgres the library has no other namespace. Every process may migrate; an
  // advisory lock lets one do it.
  const connection = { connectionString: url, schema: prefix, migrate: true, max: POSTGRES_POOL_SIZE };
  return {
    openQueue: (name) => new Queue<StoredJob, string>(name, { connection }),
    openWorker: (name, processor, options) =>
      new Worker(name, processor, { ...options, connection, autorun: false }),
  };
}

function redisDriver(url: string, prefix: string): QueueDriver {
  const { Queue, Worker } = withBackend(createRedisBackend);
  // null: commands wait for the connection to come back; how long a caller waits is bounded where it calls.
  const connection = { url, maxRetriesPerRequest: null };
  return {
    openQueue: (name) => new Queue<StoredJob, string>(name, { connection, prefix }),
    openWorker: (name, processor, options) =>
      new Worker(name, processor, {
        ...options,
        connection,
        prefix,
        autorun: false,
      }),
  };
}
