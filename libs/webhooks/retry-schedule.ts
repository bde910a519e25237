import type { DeliveryOutcome } from './delivery-outcome.js';

const SECOND_MS = 1_000;
const MINUTE_MS = 60 * SECOND_MS;
const HOUR_MS = 60 * MINUTE_MS;

/**
 * The wait before each attempt, the first at once: ten attempts over 75 h 35 min 5 s, so a receiver may be away for a
 * weekend. Source: the example schedule of Standard Webhooks 1.0.0.
 */
export const ATTEMPT_DELAYS_MS: readonly number[] = [
  0,
  5 * SECOND_MS,
  5 * MINUTE_MS,
  30 * MINUTE_MS,
  2 * HOUR_MS,
  5 * HOUR_MS,
  10 * HOUR_MS,
  14 * HOUR_MS,
  20 * HOUR_MS,
  24 * HOUR_MS,
];
/** Waits are lengthened by up to this, so that a receiver that comes back is not met by everything at once. */
const JITTER_FRACTION = 0.1;

export type NextStep =
  | { readonly kind: 'none' }
  | { readonly kind: 'retry'; readonly afterMs: number }
  /** No attempt is left: the delivery goes to the list of failed ones, and its owner is told. */
  | { readonly kind: 'give-up' }
  | { readonly kind: 'disable-endpoint' };

/**
 * What follows on attempt number `attempt` (1 for the first).
 *
 * A receiver that asks for a longer wait than the schedule's gets it; a shorter one is not taken up.
 * `random` gives [0, 1).
 */
export function planNextAttempt(attempt: number, outcome: DeliveryOutcome, random: () => number): NextStep {
  if (outcome.kind === 'delivered') return { kind: 'none' };
  if (outcome.kind === 'gone') return { kind: 'disable-endpoint' };
  const scheduledMs = ATTEMPT_DELAYS_MS[attempt];
  if (scheduledMs === undefined) return { kind: 'give-up' };
  const askedMs = outcome.kind === 'throttled' ? (outcome.retryAfterMs ?? 0) : 0;
  const afterMs = Math.max(scheduledMs, askedMs) * (1 + JITTER_FRACTION * random());
  return { kind: 'retry', afterMs: Math.round(afterMs) };
}
