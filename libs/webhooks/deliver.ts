import { performance } from 'node:perf_hooks';
import { Agent, type Dispatcher } from 'undici';
import { judgeResponse, type DeliveryOutcome, type FailureReason } from './delivery-outcome.js';
import { guardedConnector, resolveBySystem, type ResolveName } from './guarded-connect.js';
import { allowedReceivers, receiverProblems } from './receiver-rules.js';
import { signatureHeaders } from './sign.js';

export interface DelivererOptions {
  /** `host:port` of receivers the operator vouches for; private addresses and http are open to these only. */
  readonly allowedReceivers: readonly string[];
  readonly userAgent: string;
  readonly now: () => Date;
  readonly timeouts?: Partial<DeliveryTimeouts>;
  readonly resolve?: ResolveName;
}

export interface DeliveryTimeouts {
  readonly connectMs: number;
  readonly headersMs: number;
  /** Between two pieces of the body. */
  readonly bodyMs: number;
  /** From the start to the status line and headers, whatever comes in between: a dripping receiver is cut here. */
  readonly answerMs: number;
  /** For the body after the headers. */
  readonly drainMs: number;
}

export interface Message {
  readonly url: string;
  readonly messageId: string;
  /** The text that `webhookBody` made, byte for byte the same on every attempt. */
  readonly body: string;
  readonly secrets: readonly string[];
  readonly signal?: AbortSignal;
}

export interface Deliverer {
  deliver(message: Message): Promise<DeliveryOutcome>;
  close(): Promise<void>;
}

/** Standard Webhooks asks for 15 to 30 s in all. */
const TIMEOUTS: DeliveryTimeouts = {
  connectMs: 5_000,
  headersMs: 15_000,
  bodyMs: 2_000,
  answerMs: 20_000,
  drainMs: 2_000,
};
/** The body is read only to leave the connection usable, and never kept: it may hold anything. */
const RESPONSE_BYTES_MAX = 65_536;

/**
 * Deliver signed webhooks to public receivers.
 *
 * One attempt a call; when to try again is `planNextAttempt`'s to say. A 2xx counts as soon as its headers are here:
 * the receiver has the message then, however its answer's body goes on.
 *
 * Errors  none for anything a receiver does, see `DeliveryOutcome`; WebhookError for a malformed secret or id.
 */
export function createDeliverer(options: DelivererOptions): Deliverer {
  const timeouts = { ...TIMEOUTS, ...options.timeouts };
  const allowed = allowedReceivers(options.allowedReceivers);
  const agent = new Agent({
    connect: guardedConnector({
      allowed,
      resolve: options.resolve ?? resolveBySystem,
      connectTimeoutMs: timeouts.connectMs,
    }),
    headersTimeout: timeouts.headersMs,
    bodyTimeout: timeouts.bodyMs,
  });
  return {
    deliver: async (message) => {
      const startedAt = performance.now();
      const ended = (outcome: Undated): DeliveryOutcome => ({
        ...outcome,
        durationMs: performance.now() - startedAt,
      });
      if (receiverProblems(message.url, allowed).length > 0) {
        return ended({ kind: 'failed', reason: 'RECEIVER_REFUSED' });
      }
      return ended(await attempt(agent, message, options, timeouts));
    },
    close: () => agent.destroy(),
  };
}

type Undated = ReturnType<typeof judgeResponse>;

async function attempt(
  agent: Agent,
  message: Message,
  { now, userAgent }: DelivererOptions,
  timeouts: DeliveryTimeouts,
): Promise<Undated> {
  const { url, messageId, body, secrets, signal } = message;
  const signed = signatureHeaders({ messageId, sentAt: now(), body, secrets });
  const tooSlow = AbortSignal.timeout(timeouts.answerMs);
  const { origin, pathname, search } = new URL(url);
  let response: Dispatcher.ResponseData;
  try {
    response = await agent.request({
      origin,
      path: pathname + search,
      method: 'POST',
      headers: { ...signed, 'content-type': 'application/json', 'user-agent': userAgent },
      body,
      signal: signal === undefined ? tooSlow : AbortSignal.any([tooSlow, signal]),
    });
  } catch (error) {
    const reason = signal?.aborted === true ? 'CANCELLED' : tooSlow.aborted ? 'TOO_SLOW' : reasonOf(error);
    return { kind: 'failed', reason };
  }
  await drain(response, timeouts.drainMs);
  const retryAfter = response.headers['retry-after'];
  return judgeResponse(response.statusCode, Array.isArray(retryAfter) ? retryAfter[0] : retryAfter, now());
}

/** Whatever goes wrong in here changes nothing about the status that was given. */
async function drain({ body }: Dispatcher.ResponseData, drainMs: number): Promise<void> {
  const timer = setTimeout(() => body.destroy(), drainMs);
  try {
    await body.dump({ limit: RESPONSE_BYTES_MAX });
  } catch {
    body.destroy();
  } finally {
    clearTimeout(timer);
  }
}

const REASONS: readonly (readonly [RegExp, FailureReason])[] = [
  [/^ADDRESS_REFUSED$/, 'RECEIVER_REFUSED'],
  [/^(ENOTFOUND|EAI_)/, 'NAME_NOT_FOUND'],
  [/^UND_ERR_(HEADERS|BODY)_TIMEOUT$/, 'TOO_SLOW'],
  [
    /^(UND_ERR_CONNECT_TIMEOUT|ECONNREFUSED|EHOSTUNREACH|ENETUNREACH|ETIMEDOUT|EADDRNOTAVAIL)$/,
    'CONNECT_FAILED',
  ],
  [/^(CERT_|ERR_TLS|ERR_SSL|DEPTH_ZERO|SELF_SIGNED|UNABLE_TO|EPROTO)/, 'TLS_FAILED'],
];

function reasonOf(error: unknown): FailureReason {
  const code = typeof error === 'object' && error !== null && 'code' in error ? String(error.code) : '';
  return REASONS.find(([pattern]) => pattern.test(code))?.[1] ?? 'CONNECTION_LOST';
}
