export type FailureReason =
  /** The rules forbid the URL or the address behind it; no byte was sent. */
  | 'RECEIVER_REFUSED'
  | 'NAME_NOT_FOUND'
  | 'CONNECT_FAILED'
  | 'TLS_FAILED'
  | 'CONNECTION_LOST'
  | 'TOO_SLOW'
  /** Redirects are not followed: the owner registers the new address. */
  | 'REDIRECTED'
  | 'STATUS_NOT_2XX'
  | 'CANCELLED';

/** How one attempt at a delivery ended. Always a value; receivers fail every day. */
export type DeliveryOutcome = {
  readonly durationMs: number;
} & (
  | { readonly kind: 'delivered'; readonly status: number }
  | { readonly kind: 'failed'; readonly reason: FailureReason; readonly status?: number }
  /** 410: the receiver wants no more. Disable the endpoint. */
  | { readonly kind: 'gone'; readonly status: 410 }
  /** 429, 502, 503, 504: slow down, for as long as it asked. */
  | { readonly kind: 'throttled'; readonly status: number; readonly retryAfterMs?: number }
);

/** Longest wait a receiver may ask for; without it a broken one would silence us for years. */
export const RETRY_AFTER_MS_MAX = 24 * 3_600_000;

type Judgement = DeliveryOutcome extends infer Outcome
  ? Outcome extends DeliveryOutcome
    ? Omit<Outcome, 'durationMs'>
    : never
  : never;

/** What a status and a Retry-After mean. Source: Standard Webhooks 1.0.0, "Deliverability and reliability". */
export function judgeResponse(status: number, retryAfter: string | undefined, now: Date): Judgement {
  if (status >= 200 && status < 300) return { kind: 'delivered', status };
  if (status === 410) return { kind: 'gone', status };
  if (status === 429 || status === 502 || status === 503 || status === 504) {
    const retryAfterMs = retryAfterMsOf(retryAfter, now);
    return { kind: 'throttled', status, ...(retryAfterMs === undefined ? {} : { retryAfterMs }) };
  }
  const reason = status >= 300 && status < 400 ? 'REDIRECTED' : 'STATUS_NOT_2XX';
  return { kind: 'failed', reason, status };
}

/** RFC 9110, section 10.2.3: whole seconds, or a date. Anything else is as good as nothing. */
function retryAfterMsOf(text: string | undefined, now: Date): number | undefined {
  if (text === undefined) return undefined;
  const waitMs = /^\d{1,10}$/.test(text) ? Number(text) * 1000 : httpDateMs(text) - now.getTime();
  if (Number.isNaN(waitMs)) return undefined;
  return Math.min(Math.max(waitMs, 0), RETRY_AFTER_MS_MAX);
}

/** An HTTP date has letters in it; without this "-5" would be read as a year. */
function httpDateMs(text: string): number {
  return /^[A-Z][a-z]{2,8},? /.test(text) ? Date.parse(text) : NaN;
}
