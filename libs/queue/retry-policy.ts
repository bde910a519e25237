/**
 * When a failed job is tried again: the wait before each further attempt, so `delaysMs.length + 1` attempts in all.
 *
 * A list and not a formula, because a list can be read, cannot overflow and is bounded by its length.
 */
export interface RetryPolicy {
  readonly delaysMs: readonly number[];
  /** Each wait is lengthened by up to this fraction of itself, so that jobs that failed together part ways. */
  readonly jitterFraction: number;
}

export interface ExponentialRetry {
  readonly firstMs: number;
  readonly factor: number;
  readonly attempts: number;
  readonly longestMs: number;
  readonly jitterFraction: number;
}

/** The list of waits first, first x factor, ... up to `longestMs`, for `attempts` attempts in all. */
export function exponentialRetry(options: ExponentialRetry): RetryPolicy {
  const { firstMs, factor, attempts, longestMs, jitterFraction } = options;
  const delaysMs = Array.from({ length: attempts - 1 }, (_, i) => Math.min(firstMs * factor ** i, longestMs));
  return { delaysMs, jitterFraction };
}

export function attemptsOf(policy: RetryPolicy): number {
  return policy.delaysMs.length + 1;
}

/**
 * The wait after `attemptsMade` failed attempts (1 for the first), in whole milliseconds.
 *
 * Jitter only lengthens: a receiver that asked for five seconds is never called after four.
 * `random` gives [0, 1). Past the end of the list the last wait holds.
 */
export function retryDelayMs(policy: RetryPolicy, attemptsMade: number, random: () => number): number {
  const delayMs = policy.delaysMs[Math.min(attemptsMade, policy.delaysMs.length) - 1] ?? 0;
  return Math.round(delayMs * (1 + policy.jitterFraction * random()));
}
