import type { DraftToken as DraftTokenRow } from './generated/client.js';
import type { ApiKeyId, DraftId, DraftTokenId, ShopId } from './ids.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { secretHash, secretText } from './secret-hash.js';
import { rows, type Session } from './session.js';

/** What may be shown of a token that opens one draft's prints. The secret itself is not kept. */
export interface DraftToken {
  readonly id: DraftTokenId;
  readonly shopId: ShopId;
  readonly draftId: DraftId;
  /** The key it was made with, and dies with. */
  readonly apiKeyId: ApiKeyId;
  readonly createdAt: Date;
  readonly expiresAt: Date;
  readonly revokedAt?: Date;
}

export type NewDraftToken = Omit<DraftToken, 'shopId' | 'revokedAt'>;

/** The text of a new token, from random bytes: `fkt_` and 43 characters. */
export function draftTokenSecret(random: Uint8Array): string {
  return secretText('fkt', random);
}

export class DraftTokenRepository {
  /** Errors  REFERENCE_MISSING when the draft is not this shop's. */
  async insert(session: Session, shopId: ShopId, token: NewDraftToken, secret: string): Promise<DraftToken> {
    const data = { ...token, shopId, secretHash: secretHash(secret) };
    return toToken(await rows(session).draftToken.create({ data }));
  }

  /** Looked up without a shop: it is how the shop is found. Not found once it, or the key it was made with, is over. */
  async findBySecret(session: Session, secret: string, now: Date): Promise<DraftToken | undefined> {
    const row = await rows(session).draftToken.findFirst({
      where: { secretHash: secretHash(secret), revokedAt: null, expiresAt: { gt: now } },
    });
    if (row === null) return undefined;
    const { shopId, apiKeyId: id } = row;
    const key = await rows(session).apiKey.findFirst({
      where: { shopId, id, revokedAt: null },
      select: { id: true },
    });
    return key === null ? undefined : toToken(row);
  }

  async find(session: Session, shopId: ShopId, id: DraftTokenId): Promise<DraftToken | undefined> {
    const row = await rows(session).draftToken.findFirst({ where: { shopId, id } });
    return row === null ? undefined : toToken(row);
  }

  async page(
    session: Session,
    shopId: ShopId,
    draftId: DraftId,
    request: PageRequest,
  ): Promise<Page<DraftToken>> {
    const { after, take, orderBy } = windowOf(request);
    const found = await rows(session).draftToken.findMany({
      where: { shopId, draftId, ...after },
      take,
      orderBy,
    });
    return pageOf(found, request, toToken);
  }

  /** False when it was revoked before. */
  async revoke(session: Session, shopId: ShopId, id: DraftTokenId, revokedAt: Date): Promise<boolean> {
    const { count } = await rows(session).draftToken.updateMany({
      where: { shopId, id, revokedAt: null },
      data: { revokedAt },
    });
    return count === 1;
  }

  /** Forget those of every shop that were over before `before`. How many they were. */
  async removeExpired(session: Session, before: Date): Promise<number> {
    return (await rows(session).draftToken.deleteMany({ where: { expiresAt: { lt: before } } })).count;
  }
}

function toToken({
  id,
  shopId,
  draftId,
  apiKeyId,
  createdAt,
  expiresAt,
  revokedAt,
}: DraftTokenRow): DraftToken {
  return {
    id: id as DraftTokenId,
    shopId: shopId as ShopId,
    draftId: draftId as DraftId,
    apiKeyId: apiKeyId as ApiKeyId,
    createdAt,
    expiresAt,
    ...(revokedAt === null ? {} : { revokedAt }),
  };
}
