import type { IdempotencyKey as HolderRow } from './generated/client.js';
import type { ShopId } from './ids.js';
import { fromColumn, toColumn, type JsonObject } from './json.js';
import { rows, type Session } from './session.js';

export interface Claim {
  readonly key: string;
  /** Of method, path and body: the same key with another one is a mistake of the client's. */
  readonly fingerprint: string;
  /** Unpredictable and new for every request: whoever holds it may finish. */
  readonly token: string;
  readonly now: Date;
  /** Until then the claim holds; after it the request that made it is taken for dead. */
  readonly claimedUntil: Date;
  /** Until then the answer is kept. */
  readonly expiresAt: Date;
}

export interface StoredResponse {
  readonly status: number;
  /** Missing when the answer had none. */
  readonly body?: JsonObject;
}

export type ClaimResult =
  /** Nobody has done this: do it, then `finish`. */
  | { readonly outcome: 'claimed' }
  /** Done before: give this answer again. */
  | { readonly outcome: 'finished'; readonly response: StoredResponse }
  /** Being done at this moment. */
  | { readonly outcome: 'in-progress' }
  /** The key was used for another request. */
  | { readonly outcome: 'mismatch' };

/** A holder that was there for the claim and gone for the look gave the key back: claim again. */
const LOOKS_MAX = 3;

/**
 * Requests that may be sent twice and are done once.
 *
 * Source  draft-ietf-httpapi-idempotency-key-header-07.
 */
export class IdempotencyRepository {
  /**
   * Claim a key, or learn what became of whoever has it. The claim is one statement that waits for another
   * one's, so of any number of requests at the same time one gets it.
   *
   * Call it outside a transaction, so that others see the claim while the work goes on.
   */
  async claim(session: Session, shopId: ShopId, claim: Claim): Promise<ClaimResult> {
    for (let look = 0; look < LOOKS_MAX; look++) {
      if (await tryClaim(session, shopId, claim)) return { outcome: 'claimed' };
      const { key } = claim;
      const holder = await rows(session).idempotencyKey.findUnique({
        where: { shopId_key: { shopId, key } },
      });
      if (holder !== null) return resultOf(holder, claim.fingerprint);
    }
    return { outcome: 'in-progress' };
  }

  /**
   * Keep the answer. In the transaction of the work itself, so that both are there or neither is.
   * False when the claim was lost meanwhile: then undo the work.
   *
   * `subjectId` is the id of what was made; erasing that erases the answer too.
   */
  async finish(
    session: Session,
    shopId: ShopId,
    { key, token }: Pick<Claim, 'key' | 'token'>,
    response: StoredResponse,
    subjectId?: string,
  ): Promise<boolean> {
    const { count } = await rows(session).idempotencyKey.updateMany({
      where: { shopId, key, claimToken: token, state: 'in-progress' },
      data: {
        state: 'finished',
        responseStatus: response.status,
        ...(response.body === undefined ? {} : { responseBody: toColumn(response.body) }),
        ...(subjectId === undefined ? {} : { subjectId }),
      },
    });
    return count === 1;
  }

  /** Give the key back: the work failed in a way that trying again may cure. */
  async release(
    session: Session,
    shopId: ShopId,
    { key, token }: Pick<Claim, 'key' | 'token'>,
  ): Promise<void> {
    await rows(session).idempotencyKey.deleteMany({
      where: { shopId, key, claimToken: token, state: 'in-progress' },
    });
  }

  /** How many were removed, of every shop. */
  async removeExpired(session: Session, now: Date): Promise<number> {
    return (await rows(session).idempotencyKey.deleteMany({ where: { expiresAt: { lte: now } } })).count;
  }
}

// Free again when the answer has expired, or when whoever claimed it died before there was one.
async function tryClaim(session: Session, shopId: ShopId, claim: Claim): Promise<boolean> {
  const { key, fingerprint, token, now, claimedUntil, expiresAt } = claim;
  const count = await rows(session).$executeRaw`
    INSERT INTO idempotency_keys AS held
      (shop_id, key, fingerprint, state, claim_token, claimed_until, created_at, expires_at)
    VALUES (${shopId}, ${key}, ${fingerprint}, 'in-progress', ${token}, ${claimedUntil}, ${now}, ${expiresAt})
    ON CONFLICT (shop_id, key) DO UPDATE SET
      fingerprint = excluded.fingerprint,
      state = excluded.state,
      claim_token = excluded.claim_token,
      claimed_until = excluded.claimed_until,
      created_at = excluded.created_at,
      expires_at = excluded.expires_at,
      subject_id = NULL,
      response_status = NULL,
      response_body = NULL
    WHERE held.expires_at <= excluded.created_at
      OR (held.state = 'in-progress' AND held.claimed_until <= excluded.created_at
        AND held.fingerprint = excluded.fingerprint)`;
  return count === 1;
}

function resultOf(holder: HolderRow, fingerprint: string): ClaimResult {
  if (holder.fingerprint !== fingerprint) return { outcome: 'mismatch' };
  if (holder.responseStatus === null) return { outcome: 'in-progress' };
  const body = holder.responseBody === null ? {} : { body: fromColumn<JsonObject>(holder.responseBody) };
  return { outcome: 'finished', response: { status: holder.responseStatus, ...body } };
}
