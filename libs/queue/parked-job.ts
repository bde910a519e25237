import type { ParkReason } from './attempt-job.js';

export interface ParkedJob {
  readonly id: string;
  readonly name: string;
  readonly payload: unknown;
  readonly attemptsMade: number;
  readonly reason: ParkReason;
  /** The handler's own word on why, or the name and code of what it threw. */
  readonly message: string;
}

const REASONS: readonly ParkReason[] = [
  'PAYLOAD_INVALID',
  'REJECTED',
  'ATTEMPTS_EXHAUSTED',
  'STALLED_TOO_OFTEN',
];

/** A reason that was not written here is the library's own: the job stalled more often than is allowed. */
export function parkReasonOf(stored: string): { readonly reason: ParkReason; readonly message: string } {
  const reason = REASONS.find((candidate) => stored.startsWith(`${candidate}: `));
  return reason === undefined
    ? { reason: 'STALLED_TOO_OFTEN', message: stored }
    : { reason, message: stored.slice(reason.length + 2) };
}
