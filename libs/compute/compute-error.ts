import type { Rejection, ThrownError } from './messages.js';

/** Why a task gave no answer. The list is closed. */
export type ComputeErrorCode =
  /** No answer by the deadline; waiting for a free thread counts. */
  | 'DEADLINE_EXCEEDED'
  /** The caller's signal was aborted. */
  | 'CANCELLED'
  /** The task, or a neighbour in the same process, used more memory than the pool may. */
  | 'OUT_OF_MEMORY'
  /** The thread or the process ended under the task. */
  | 'CRASHED'
  /** The task itself refused its input: see `rejection`. */
  | 'REJECTED'
  /** The task threw something else, which is a mistake in the task: see `thrown`. */
  | 'THREW'
  /** As many tasks as may wait are waiting. */
  | 'OVERLOADED'
  /** The pool is closed or closing. */
  | 'CLOSED';

/** Whether the same task may succeed later. A task that refuses or throws does so again: it is deterministic. */
const RETRYABLE: Readonly<Record<ComputeErrorCode, boolean>> = {
  DEADLINE_EXCEEDED: true,
  CANCELLED: false,
  OUT_OF_MEMORY: true,
  CRASHED: true,
  REJECTED: false,
  THREW: false,
  OVERLOADED: true,
  CLOSED: true,
};

export interface ComputeErrorOptions {
  readonly message?: string;
  readonly rejection?: Rejection;
  readonly thrown?: ThrownError;
}

export class ComputeError extends Error {
  override readonly name = 'ComputeError';
  readonly retryable: boolean;
  readonly rejection?: Rejection;
  readonly thrown?: ThrownError;

  constructor(
    readonly code: ComputeErrorCode,
    readonly task: string,
    { message, rejection, thrown }: ComputeErrorOptions = {},
  ) {
    super(`${code} task=${task}${message === undefined ? '' : `: ${message}`}`);
    this.retryable = RETRYABLE[code];
    if (rejection !== undefined) this.rejection = rejection;
    if (thrown !== undefined) this.thrown = thrown;
  }
}
