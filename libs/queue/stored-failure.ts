import type { ParkReason } from './attempt-job.js';

/** Errors whose messages are written for the queue's record; all others may quote what a customer sent. */
const OWN_ERRORS: ReadonlySet<string> = new Set([
  'InvalidPayloadError',
  'JobRejectedError',
  'NewerVersionError',
  'RetryLaterError',
]);

/**
 * What of an error is kept with its job: its name and code, and where it was thrown.
 *
 * The queue keeps failures for days and anybody who looks after it reads them, so a measure must not be in there.
 */
export function failureText(error: Error): string {
  if (OWN_ERRORS.has(error.name)) return error.message;
  const code = 'code' in error && typeof error.code === 'string' ? ` ${error.code}` : '';
  return `${error.name}${code}`;
}

/** The error as the queue library may store it, message and stack. */
export class StoredFailure extends Error {
  constructor(
    text: string,
    cause: Error,
    /** When the handler said so itself. */
    readonly afterMs?: number,
  ) {
    super(text);
    const frames = (cause.stack ?? '').split('\n').filter((line) => /^\s+at .+:\d+:\d+\)?$/.test(line));
    this.stack = [text, ...frames].join('\n');
  }
}

/** A failure that is not tried again; the library knows it by this name. */
export class FinalFailure extends StoredFailure {
  override readonly name = 'UnrecoverableError';
}

/** The reason as it is stored beside the failed job: "REASON: text". */
export function storedReason(reason: ParkReason, text: string): string {
  return `${reason}: ${text}`;
}
