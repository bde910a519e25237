import { ApiError } from './api-error.js';

export interface RateLimitOptions {
  /** Requests in one go after a pause. */
  readonly burst: number;
  /** Requests a second in the long run. */
  readonly perSecond: number;
  /** Milliseconds, of any beginning. */
  readonly now: () => number;
}

interface Bucket {
  tokens: number;
  filledAt: number;
}

/** As many keys are remembered; beyond it the one that was seen first is forgotten and begins with a full bucket. */
const KEYS_MAX = 10_000;

/** Requests of one key in one process: a bucket that fills steadily and is emptied by requests. */
export class RateLimit {
  private readonly buckets = new Map<string, Bucket>();

  constructor(private readonly options: RateLimitOptions) {}

  /** Errors  too-many-requests, with how long to wait. */
  take(key: string): void {
    const { burst, perSecond, now } = this.options;
    const at = now();
    const bucket = this.buckets.get(key) ?? { tokens: burst, filledAt: at };
    bucket.tokens = Math.min(burst, bucket.tokens + ((at - bucket.filledAt) / 1000) * perSecond);
    bucket.filledAt = at;
    this.buckets.set(key, bucket);
    const [oldest] = this.buckets.keys();
    if (this.buckets.size > KEYS_MAX && oldest !== undefined) this.buckets.delete(oldest);
    if (bucket.tokens < 1) {
      const waitS = Math.ceil((1 - bucket.tokens) / perSecond);
      throw new ApiError('too-many-requests', `At most ${perSecond} requests a second. Wait ${waitS} s.`, {
        headers: { 'Retry-After': String(waitS) },
      });
    }
    bucket.tokens -= 1;
  }
}
