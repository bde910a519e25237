export { ComputeError, type ComputeErrorCode } from './compute-error.js';
export {
  openComputePool,
  type ComputePool,
  type ComputePoolOptions,
  type RunOptions,
} from './compute-pool.js';
export type { Progress, Rejection, ThrownError } from './messages.js';
export {
  TaskRejectedError,
  tasksIn,
  type TaskContext,
  type TaskFunction,
  type TaskReference,
} from './task.js';
