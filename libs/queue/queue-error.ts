export type QueueErrorCode =
  | 'PREFIX_INVALID'
  | 'JOB_DEFINED_TWICE'
  | 'JOB_UNKNOWN'
  | 'JOB_ID_INVALID'
  | 'PAYLOAD_INVALID'
  | 'DELAY_INVALID'
  | 'HANDLERS_INCOMPLETE'
  | 'QUEUE_UNAVAILABLE';

/** The caller is wrong, or the queue cannot be reached. `retryable` is true only for the latter. */
export class QueueError extends Error {
  override readonly name = 'QueueError';

  constructor(
    readonly code: QueueErrorCode,
    readonly details: Readonly<Record<string, unknown>> = {},
    options?: ErrorOptions,
  ) {
    super(`${code} ${JSON.stringify(details)}`, options);
  }

  get retryable(): boolean {
    return this.code === 'QUEUE_UNAVAILABLE';
  }
}

/**
 * Thrown by a handler whose job can never succeed: the job is parked at once, whatever attempts are left.
 *
 * Any thrown error that carries `retryable: false` is treated the same, so that other libs need not import this one.
 * The message is stored with the job and shown to operators: ids and codes, never a measure.
 */
export class JobRejectedError extends Error {
  override readonly name = 'JobRejectedError';
  readonly retryable = false;
}

/** Thrown by a handler that knows when the next attempt makes sense, e.g. from a Retry-After. */
export class RetryLaterError extends Error {
  override readonly name = 'RetryLaterError';
  readonly retryable = true;

  constructor(
    message: string,
    readonly afterMs: number,
    options?: ErrorOptions,
  ) {
    super(message, options);
  }
}
