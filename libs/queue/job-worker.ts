import { setTimeout as wait } from 'node:timers/promises';
import { attemptJob, type AttemptVerdict } from './attempt-job.js';
import type {
  JobContext,
  JobDefinition,
  JobDefinitions,
  JobHandler,
  JobHandlers,
  JobName,
} from './job-definition.js';
import { parkReasonOf, type ParkedJob } from './parked-job.js';
import type { BackendWorker, QueueDriver, StoredQueueJob } from './queue-backend.js';
import { RetryLaterError } from './queue-error.js';
import { attemptsOf, retryDelayMs } from './retry-policy.js';
import { FinalFailure, StoredFailure, failureText, storedReason } from './stored-failure.js';
import { thrownError } from './thrown-error.js';
import { withinMs } from './within.js';

export interface WorkerOptionsOf<Jobs extends JobDefinitions> {
  readonly handlers: JobHandlers<Jobs>;
  /** Jobs of one name at once in this worker; 1 where not given. */
  readonly concurrency?: Readonly<Partial<Record<JobName<Jobs>, number>>>;
  /** Spreads retries; gives [0, 1). */
  readonly random: () => number;
  readonly onError: (error: Error) => void;
  /**
   * Told of every job that is set aside, before it is: at least once, so it must bear hearing the same twice.
   * Retried when it fails; when it keeps failing, `JobQueue.parked` still lists the job.
   */
  readonly onParked: (job: ParkedJob) => Promise<void>;
  /** Told of every attempt, for metrics. */
  readonly onAttempt?: (attempt: AttemptReport) => void;
}

export interface AttemptReport {
  readonly name: string;
  readonly jobId: string;
  readonly attempt: number;
  readonly durationMs: number;
  readonly outcome: 'done' | 'skipped' | 'retried' | 'parked';
  /** What the handler threw, whole; it is stored by name and code only. */
  readonly error?: Error;
}

export interface JobWorker {
  /**
   * Take no more jobs and wait for those that run. After `graceMs` they are asked to stop through their signal, and
   * after `ABORT_GRACE_MS` more they are left behind: another worker runs them again.
   */
  close(options: { readonly graceMs: number }): Promise<'drained' | 'abandoned'>;
}

/**
 * A worker that dies is noticed when its lock runs out and the next look for stalled jobs comes by: 7 s at most, 8 s
 * measured with the rerun. Shorter locks would be lost by a worker whose event loop stalls for a second or two.
 */
const LOCK_DURATION_MS = 5_000;
const STALLED_INTERVAL_MS = 2_000;
/** A job that takes its worker down with it this often is the cause, not the victim. */
const STALLED_COUNT_MAX = 3;
/** How soon a worker looks again after it lost its connection. The library's 15 s would outlast a restart. */
const RECONNECT_DELAY_MS = 1_000;
const ABORT_GRACE_MS = 2_000;
const PARK_RETRY_DELAYS_MS = [200, 1_000] as const;

type AnyOptions = WorkerOptionsOf<JobDefinitions>;

/** One backend worker for each job, started together. */
export async function openBackendWorker<Jobs extends JobDefinitions>(
  driver: QueueDriver,
  definitions: ReadonlyMap<string, JobDefinition>,
  options: WorkerOptionsOf<Jobs>,
  timeoutMs: number,
): Promise<JobWorker> {
  const anyOptions = options as unknown as AnyOptions;
  const workers = [...definitions.values()].map((definition) => openOne(driver, definition, anyOptions));
  try {
    await withinMs(Promise.all(workers.map((worker) => worker.waitUntilReady())), timeoutMs);
  } catch (error) {
    await closeWorkers(workers, 0);
    throw error;
  }
  for (const worker of workers) worker.run().catch(options.onError);
  return { close: ({ graceMs }) => closeWorkers(workers, graceMs) };
}

function openOne(driver: QueueDriver, definition: JobDefinition, options: AnyOptions): BackendWorker {
  const handler = options.handlers[definition.name];
  const worker = driver.openWorker(
    definition.name,
    (job, _token, signal) => runAttempt(job, signal, definition, handler, options),
    {
      concurrency: options.concurrency?.[definition.name] ?? 1,
      lockDuration: LOCK_DURATION_MS,
      stalledInterval: STALLED_INTERVAL_MS,
      maxStalledCount: STALLED_COUNT_MAX,
      runRetryDelay: RECONNECT_DELAY_MS,
      settings: {
        backoffStrategy: (attemptsMade, _type, error) =>
          error instanceof StoredFailure && error.afterMs !== undefined
            ? Math.max(0, Math.round(error.afterMs))
            : retryDelayMs(definition.retry, attemptsMade, options.random),
      },
    },
  );
  // Left alone, the library prints errors to the console, messages and all.
  worker.on('error', options.onError);
  // Another worker has the job now: two at once would waste work, though neither would do harm.
  worker.on('lockRenewalFailed', (ids) => ids.forEach((id) => worker.cancelJob(id, 'lock lost')));
  worker.on('failed', (job, error) => void reportStalled(job, error, options));
  return worker;
}

/** Jobs parked by the library itself never reach the handler, so they are announced from its event. */
async function reportStalled(
  job: StoredQueueJob | undefined,
  error: Error,
  options: AnyOptions,
): Promise<void> {
  if (job === undefined || !/stalled more than allowable/.test(error.message)) return;
  await announceParked(parkedFrom(job, error.message), options);
}

function parkedFrom(job: StoredQueueJob, stored: string): ParkedJob {
  const { id = '', name, attemptsMade, data } = job;
  return { id, name, payload: data.payload, attemptsMade, ...parkReasonOf(stored) };
}

async function runAttempt(
  job: StoredQueueJob,
  signal: AbortSignal | undefined,
  definition: JobDefinition,
  handler: JobHandler<unknown>,
  options: AnyOptions,
): Promise<string> {
  const context: JobContext = {
    jobId: job.id ?? '',
    attempt: job.attemptsMade + 1,
    attemptsMax: job.opts.attempts ?? attemptsOf(definition.retry),
    signal: signal ?? new AbortController().signal,
  };
  const startedAt = performance.now();
  const verdict = await attemptJob(definition, handler, job.data, context);
  const { jobId, attempt } = context;
  options.onAttempt?.({
    name: job.name,
    jobId,
    attempt,
    durationMs: performance.now() - startedAt,
    outcome: reportedOutcome(verdict),
    ...(verdict.kind === 'finished' ? {} : { error: verdict.error }),
  });
  if (verdict.kind === 'finished') return verdict.outcome;
  throw await failureOf(verdict, job, attempt, options);
}

/** The error to give to the queue library; before that, a job to be parked is announced. */
async function failureOf(
  verdict: Exclude<AttemptVerdict, { readonly kind: 'finished' }>,
  job: StoredQueueJob,
  attempt: number,
  options: AnyOptions,
): Promise<Error> {
  const { error } = verdict;
  if (verdict.kind === 'retry') {
    return new StoredFailure(
      failureText(error),
      error,
      error instanceof RetryLaterError ? error.afterMs : undefined,
    );
  }
  const stored = storedReason(verdict.reason, failureText(error));
  await announceParked({ ...parkedFrom(job, stored), attemptsMade: attempt }, options);
  return new FinalFailure(stored, error);
}

function reportedOutcome(verdict: AttemptVerdict): AttemptReport['outcome'] {
  if (verdict.kind === 'finished') return verdict.outcome;
  return verdict.kind === 'retry' ? 'retried' : 'parked';
}

async function announceParked(job: ParkedJob, { onParked, onError }: AnyOptions): Promise<void> {
  for (const delayMs of [...PARK_RETRY_DELAYS_MS, undefined]) {
    try {
      return await onParked(job);
    } catch (error) {
      onError(thrownError(error));
      if (delayMs !== undefined) await wait(delayMs);
    }
  }
}

async function closeWorkers(
  workers: readonly BackendWorker[],
  graceMs: number,
): Promise<'drained' | 'abandoned'> {
  const drained = Promise.allSettled(workers.map((worker) => worker.close())).then(() => 'drained' as const);
  if ((await firstOf(drained, graceMs)) === 'drained') return 'drained';
  for (const worker of workers) worker.cancelAllJobs('the worker is closing');
  return firstOf(drained, ABORT_GRACE_MS);
}

async function firstOf(drained: Promise<'drained'>, withinMsMax: number): Promise<'drained' | 'abandoned'> {
  const timer = new AbortController();
  const late = wait(withinMsMax, 'abandoned' as const, { signal: timer.signal }).catch(
    () => 'abandoned' as const,
  );
  const first = await Promise.race([drained, late]);
  timer.abort();
  return first;
}
