export type { ParkReason } from './attempt-job.js';
export type {
  JobContext,
  JobDefinition,
  JobDefinitions,
  JobHandler,
  JobHandlers,
  JobName,
  JobOutcome,
  JobRequest,
} from './job-definition.js';
export {
  openQueue,
  type EnqueueOptions,
  type JobCounts,
  type JobQueue,
  type JobState,
  type OpenQueueOptions,
  type SweepOptions,
} from './job-queue.js';
export type { AttemptReport, JobWorker, WorkerOptionsOf } from './job-worker.js';
export type { ParkedJob } from './parked-job.js';
export type { QueueBackend } from './queue-backend.js';
export { JobRejectedError, QueueError, RetryLaterError, type QueueErrorCode } from './queue-error.js';
export {
  attemptsOf,
  exponentialRetry,
  retryDelayMs,
  type ExponentialRetry,
  type RetryPolicy,
} from './retry-policy.js';
