import type { ParkReason } from './attempt-job.js';

export interface ParkedJob {
  readonly id: string;
  readonly name: string;
  readonly payload: unknown;
  readonly attemptsMade: number;
  readonly reason: ParkReason;
  readonly message: string;
}

const REASONS: readonly ParkReason[] = [
  'PAYLOAD_INVALID',
  'REJECTED',
  'ATTEMPTS_EXHAUSTED',
  'STALLED_TOO_OFTEN',
];

/** The reason as it is stored beside the failed job: "REASON: message". */
export function storedReason(reason: ParkReason, message: string): string {
  return `${reason}: ${message}`;
}

/** A reason that was not written here is the library's own: the job stalled more often than is allowed. */
export function parkReasonOf(stored: string): { readonly reason: ParkReason; readonly message: string } {
  const reason = REASONS.find((candidate) => stored.startsWith(`${candidate}: `));
  return reason === undefined
    ? { reason: 'STALLED_TOO_OFTEN', message: stored }
    : { reason, message: stored.slice(reason.length + 2) };
}
