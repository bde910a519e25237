import type { z } from 'zod';
import { openBackendWorker, type JobWorker, type WorkerOptionsOf } from './job-worker.js';
import type { JobDefinition, JobDefinitions, JobName, JobRequest } from './job-definition.js';
import { parkReasonOf, type ParkedJob } from './parked-job.js';
import { pointersOf } from './payload-problems.js';
import { driverOf, type BackendQueue, type QueueBackend, type QueueDriver } from './queue-backend.js';
import { QueueError } from './queue-error.js';
import { attemptsOf } from './retry-policy.js';
import { withinMs } from './within.js';

export interface OpenQueueOptions<Jobs extends JobDefinitions> {
  readonly backend: QueueBackend;
  /** Lower case letters, digits and underscores: the schema's name on Postgres, the keys' prefix on Redis. */
  readonly prefix: string;
  readonly jobs: Jobs;
  /** Told of connection trouble between calls; the queue goes on by itself when the connection is back. */
  readonly onError: (error: Error) => void;
  /** How long one call waits for the backend before it fails with QUEUE_UNAVAILABLE; opening too, where given. */
  readonly callTimeoutMs?: number;
}

export interface EnqueueOptions {
  /** The outbox row's id. A second enqueue under the same id does nothing while the first is remembered. */
  readonly id: string;
  readonly delayMs?: number;
}

export interface JobCounts {
  readonly waiting: number;
  readonly active: number;
  readonly delayed: number;
  readonly parked: number;
}

export interface SweepOptions {
  /** Finished jobs younger than this are kept: while they are, their ids cannot be enqueued again. */
  readonly finishedOlderThanMs: number;
  readonly parkedOlderThanMs: number;
  /** At most this many of each job and state are removed in one call. */
  readonly limit: number;
}

const CALL_TIMEOUT_MS = 5_000;
/** Opening makes tables and connections for every job at once, on a machine that starts other things beside it. */
const OPEN_TIMEOUT_MS = 30_000;
const PREFIX = /^[a-z][a-z0-9_]{0,39}$/;
/** Not a whole number and no colon, which the queue library keeps for itself. */
const JOB_ID = /^[A-Za-z][A-Za-z0-9_-]{0,99}$/;
const DELAY_MS_MAX = 30 * 24 * 3600 * 1000;
/** A payload carries ids; anything near this size is a mistake. */
const PAYLOAD_BYTES_MAX = 16_384;

/**
 * Typed jobs over one queue for each job name, so that a slow receiver never holds up a draft.
 *
 * The queue only wakes workers. What is true about a request stands in the database, so losing everything in here
 * loses nothing that the outbox cannot enqueue again. Nothing here waits for the library's events, which its
 * Postgres backend may drop.
 */
export class JobQueue<const Jobs extends JobDefinitions> {
  private constructor(
    private readonly definitions: ReadonlyMap<string, JobDefinition>,
    private readonly queues: ReadonlyMap<string, BackendQueue>,
    private readonly driver: QueueDriver,
    private readonly callTimeoutMs: number,
    private readonly openTimeoutMs: number,
  ) {}

  static async open<const Jobs extends JobDefinitions>(
    options: OpenQueueOptions<Jobs>,
  ): Promise<JobQueue<Jobs>> {
    const { backend, prefix, jobs, onError, callTimeoutMs = CALL_TIMEOUT_MS } = options;
    const openTimeoutMs = options.callTimeoutMs ?? OPEN_TIMEOUT_MS;
    if (!PREFIX.test(prefix)) throw new QueueError('PREFIX_INVALID', { prefix, allowed: PREFIX.source });
    const definitions = new Map<string, JobDefinition>();
    for (const job of jobs) {
      if (definitions.has(job.name)) throw new QueueError('JOB_DEFINED_TWICE', { job: job.name });
      definitions.set(job.name, job);
    }
    const driver = driverOf(backend, prefix);
    const queues = new Map(jobs.map(({ name }) => [name, driver.openQueue(name)]));
    for (const queue of queues.values()) queue.on('error', onError);
    const opened = new JobQueue<Jobs>(definitions, queues, driver, callTimeoutMs, openTimeoutMs);
    try {
      const ready = Promise.all([...queues.values()].map((queue) => queue.waitUntilReady()));
      await withinMs(ready, openTimeoutMs);
    } catch (error) {
      // Nothing hangs on it: the connection that could not be had cannot be given back in time either.
      await opened.close().catch(onError);
      throw error;
    }
    return opened;
  }

  /** Remember a job once. Safe to call again after any failure: the id makes it one job. */
  async enqueue(job: JobRequest<Jobs>, { id, delayMs = 0 }: EnqueueOptions): Promise<void> {
    const definition = this.definitions.get(job.name);
    if (definition === undefined) throw new QueueError('JOB_UNKNOWN', { job: job.name });
    if (!JOB_ID.test(id))
      throw new QueueError('JOB_ID_INVALID', { job: job.name, id, allowed: JOB_ID.source });
    if (!(delayMs >= 0 && delayMs <= DELAY_MS_MAX))
      throw new QueueError('DELAY_INVALID', { job: job.name, delayMs, allowedMs: [0, DELAY_MS_MAX] });
    assertPayload(definition, job.payload);
    const stored = { version: definition.version, payload: job.payload as unknown };
    await this.call(
      this.queueOf(job.name).add(job.name, stored, {
        jobId: id,
        delay: Math.round(delayMs),
        attempts: attemptsOf(definition.retry),
        backoff: { type: 'policy' },
        sizeLimit: PAYLOAD_BYTES_MAX,
        stackTraceLimit: 5,
      }),
    );
  }

  /**
   * Start taking jobs. Refuses when a job has no handler, or a handler no job.
   *
   * A worker that is killed loses nothing: its jobs run again within about 8 seconds.
   */
  startWorker(options: WorkerOptionsOf<Jobs>): Promise<JobWorker> {
    const names = [...this.definitions.keys()];
    const handled = Object.keys(options.handlers);
    const missing = names.filter((name) => !handled.includes(name));
    const unknown = handled.filter((name) => !names.includes(name));
    if (missing.length > 0 || unknown.length > 0)
      return Promise.reject(new QueueError('HANDLERS_INCOMPLETE', { missing, unknown }));
    return openBackendWorker(this.driver, this.definitions, options, this.openTimeoutMs);
  }

  async counts(name: JobName<Jobs>): Promise<JobCounts> {
    const counts = await this.call(
      this.queueOf(name).getJobCounts('wait', 'prioritized', 'active', 'delayed', 'failed'),
    );
    return {
      waiting: (counts['wait'] ?? 0) + (counts['prioritized'] ?? 0),
      active: counts['active'] ?? 0,
      delayed: counts['delayed'] ?? 0,
      parked: counts['failed'] ?? 0,
    };
  }

  /** Whether a job is known, and where it stands. "unknown" also after it was swept. */
  async stateOf(name: JobName<Jobs>, id: string): Promise<JobState> {
    const job = await this.call(this.queueOf(name).getJob(id));
    const state = job === undefined ? 'unknown' : await this.call(job.getState());
    return STATES[state] ?? 'unknown';
  }

  /** Jobs set aside, the latest first: what to reconcile the database with after a callback was lost. */
  async parked(name: JobName<Jobs>, limit: number): Promise<ParkedJob[]> {
    const jobs = await this.call(this.queueOf(name).getFailed(0, limit - 1));
    return jobs.map((job) => ({
      id: job.id ?? '',
      name: job.name,
      payload: job.data.payload,
      attemptsMade: job.attemptsMade,
      ...parkReasonOf(job.failedReason),
    }));
  }

  /** Give a parked job all its attempts again. */
  async retryParked(name: JobName<Jobs>, id: string): Promise<'retried' | 'not-parked'> {
    const job = await this.call(this.queueOf(name).getJob(id));
    if (job === undefined || (await this.call(job.getState())) !== 'failed') return 'not-parked';
    await this.call(job.retry('failed', { resetAttemptsMade: true }));
    return 'retried';
  }

  /** Forget old finished and parked jobs. By age and from outside, since trimming by count deadlocks on Postgres. */
  async sweep({ finishedOlderThanMs, parkedOlderThanMs, limit }: SweepOptions): Promise<number> {
    let removed = 0;
    for (const queue of this.queues.values()) {
      const finished = await this.call(queue.clean(finishedOlderThanMs, limit, 'completed'));
      const parked = await this.call(queue.clean(parkedOlderThanMs, limit, 'failed'));
      removed += finished.length + parked.length;
    }
    return removed;
  }

  /** Give the connections back. Workers are closed on their own, before. */
  async close(): Promise<void> {
    await this.call(Promise.allSettled([...this.queues.values()].map((queue) => queue.close())));
  }

  private queueOf(name: string): BackendQueue {
    const queue = this.queues.get(name);
    if (queue === undefined) throw new QueueError('JOB_UNKNOWN', { job: name });
    return queue;
  }

  private call<T>(promise: Promise<T>): Promise<T> {
    return withinMs(promise, this.callTimeoutMs);
  }
}

export type JobState = 'waiting' | 'active' | 'delayed' | 'finished' | 'parked' | 'unknown';

const STATES: Readonly<Record<string, JobState>> = {
  waiting: 'waiting',
  prioritized: 'waiting',
  active: 'active',
  delayed: 'delayed',
  completed: 'finished',
  failed: 'parked',
};

function assertPayload(definition: JobDefinition, payload: unknown): void {
  const parsed: z.ZodSafeParseResult<unknown> = definition.payload.safeParse(payload);
  if (!parsed.success)
    throw new QueueError('PAYLOAD_INVALID', { job: definition.name, problems: pointersOf(parsed.error) });
}

/** Open the queue of these jobs on a backend; see `JobQueue`. */
export function openQueue<const Jobs extends JobDefinitions>(
  options: OpenQueueOptions<Jobs>,
): Promise<JobQueue<Jobs>> {
  return JobQueue.open(options);
}
