import { createHash } from 'node:crypto';
import { canonicalJson, type Json } from '#contracts';
import type { Database, IdempotencyRepository, JsonObject, Transaction } from '#persistence';
import { ApiError } from './api-error.js';
import type { Caller } from './caller.js';

/** How long an answer is given again. */
const KEPT_MS = 24 * 3_600_000;

/**
 * After this a request that holds a key is taken for dead. Callers of a process that was killed wait so long, so it is
 * short; a request that is only slow loses nothing but its turn, because `finish` undoes what it did.
 */
const CLAIM_MS = 10_000;

export interface OnceRequest {
  /** Missing: done as often as it is sent. */
  readonly key: string | undefined;
  /** What is done, and with what: the same key with anything else is a mistake. */
  readonly action: string;
  readonly input: unknown;
}

export interface Done<Answer> {
  readonly answer: Answer;
  /** What was made, so that erasing it erases the answer that is kept. */
  readonly subjectId: string;
  /** What is kept of the answer, when it holds something that is shown once. */
  readonly kept?: Answer;
}

export interface OnceResult<Answer> {
  readonly answer: Answer;
  readonly replayed: boolean;
}

/** Does a piece of work once for each idempotency key, however often and at how many doors it is asked for. */
export class Once {
  constructor(
    private readonly database: Database,
    private readonly keys: IdempotencyRepository,
    private readonly clock: { readonly now: () => number; readonly newToken: () => string },
  ) {}

  /**
   * Run `work` in a transaction that also keeps its answer, or give the answer that was kept.
   *
   * Errors  idempotency-key-reused, still-in-progress, request-invalid (the key), and what `work` throws.
   */
  async run<Answer extends object>(
    { shopId, token }: Caller,
    { key: sent, action, input }: OnceRequest,
    work: (tx: Transaction) => Promise<Done<Answer>>,
  ): Promise<OnceResult<Answer>> {
    const { session, unitOfWork } = this.database;
    if (sent === undefined) return { answer: (await unitOfWork.run(work)).answer, replayed: false };
    requireKey(sent);
    // An app's keys are its own: they can neither meet nor guess those of the shop.
    const key = token === undefined ? sent : hashOf(`${token.id} ${sent}`);
    const nowMs = this.clock.now();
    const claim = {
      key,
      fingerprint: fingerprintOf(action, input),
      token: this.clock.newToken(),
      now: new Date(nowMs),
      claimedUntil: new Date(nowMs + CLAIM_MS),
      expiresAt: new Date(nowMs + KEPT_MS),
    };
    const claimed = await this.keys.claim(session, shopId, claim);
    if (claimed.outcome === 'finished') return { answer: claimed.response.body as Answer, replayed: true };
    if (claimed.outcome !== 'claimed') throw refusal(claimed.outcome);
    try {
      const answer = await unitOfWork.run(async (tx) => {
        const done = await work(tx);
        const response = { status: 200, body: (done.kept ?? done.answer) as unknown as JsonObject };
        // Another request took the key over because this one was too slow: what was done is undone.
        if (!(await this.keys.finish(tx, shopId, claim, response, done.subjectId)))
          throw refusal('in-progress');
        return done.answer;
      });
      return { answer, replayed: false };
    } catch (error) {
      // What cannot be given back runs out by itself.
      await this.keys.release(session, shopId, claim).catch(() => undefined);
      throw error;
    }
  }
}

function fingerprintOf(action: string, input: unknown): string {
  return hashOf(canonicalJson({ action, input: (input ?? null) as Json }));
}

function hashOf(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}

function refusal(outcome: 'in-progress' | 'mismatch'): ApiError {
  if (outcome === 'mismatch') {
    return new ApiError(
      'idempotency-key-reused',
      'This Idempotency-Key came with another request. Use a new key.',
      {
        errors: [
          {
            in: 'header',
            pointer: '/Idempotency-Key',
            code: 'CONFLICT',
            found: 'a key that came with another request',
            allowed: 'a new key for each request, the same one to repeat it',
            detail: 'Nothing was done. Send a new key, or the same request as before.',
          },
        ],
      },
    );
  }
  const detail = 'A request with this Idempotency-Key is being worked on. Send it again in a second.';
  return new ApiError('still-in-progress', detail, { headers: { 'Retry-After': '1' } });
}

function requireKey(key: string): void {
  if (/^[\x21-\x7e]{1,255}$/.test(key)) return;
  const allowed = '1 to 255 visible ASCII characters';
  throw new ApiError('request-invalid', 'The Idempotency-Key is not one.', {
    errors: [
      {
        in: 'header',
        pointer: '/Idempotency-Key',
        code: 'NOT_ALLOWED',
        found: `${key.length} characters`,
        allowed,
        detail: `The key must be ${allowed}. Send a random one, such as a UUID.`,
      },
    ],
  });
}
