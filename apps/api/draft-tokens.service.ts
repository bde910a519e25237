import {
  DRAFT_TOKEN_REQUEST,
  readWith,
  TOKEN_SECONDS,
  type AnswerPage,
  type DraftTokenAnswer,
} from '#contracts';
import {
  draftTokenSecret,
  SECRET_BYTES,
  type AuditRepository,
  type DraftRepository,
  type DraftToken,
  type DraftTokenRepository,
  type Session,
} from '#persistence';
import { invalid } from './api-error.js';
import type { Caller } from './caller.js';
import type { Ground } from './ground.js';
import type { Links } from './links.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { requireFound, requireId } from './require-id.js';
import { retried } from './retried.js';

export interface DraftTokenParts {
  readonly drafts: DraftRepository;
  readonly tokens: DraftTokenRepository;
  readonly audit: AuditRepository;
  readonly randomBytes: (count: number) => Uint8Array;
}

/** Makes the tokens a shop hands to an app, lists them and revokes them. The token itself is answered once. */
export class DraftTokensService {
  constructor(
    private readonly ground: Ground,
    private readonly parts: DraftTokenParts,
    private readonly once: Once,
  ) {}

  /** Errors  not-found (the draft), request-invalid. */
  async create(
    caller: Caller,
    id: string,
    json: unknown,
    key: string | undefined,
  ): Promise<OnceResult<DraftTokenAnswer>> {
    const { database, links, logger, newId, now } = this.ground;
    const { tokens, randomBytes } = this.parts;
    const draftId = await this.requireDraft(database.session, caller, id);
    const read = readWith(DRAFT_TOKEN_REQUEST, json);
    if (!read.ok) throw invalid('body', read.problems);
    const { expiresInSeconds = TOKEN_SECONDS.usual } = read.value;
    const asked = { key, action: 'draft-tokens.create', input: { draftId, request: json } };
    const made = await retried(() =>
      this.once.run(caller, asked, async (tx) => {
        await this.requireDraft(tx, caller, id);
        const createdAt = new Date(now());
        const expiresAt = new Date(createdAt.getTime() + 1000 * expiresInSeconds);
        const secret = draftTokenSecret(randomBytes(SECRET_BYTES));
        const token = { id: newId('draftToken'), draftId, apiKeyId: caller.apiKeyId, createdAt, expiresAt };
        const kept = toTokenAnswer(await tokens.insert(tx, caller.shopId, token, secret), links);
        await this.note(tx, caller, 'draft-token.made', kept.id);
        return { answer: { ...kept, token: secret }, kept, subjectId: token.id };
      }),
    );
    if (!made.replayed) logger.info('token.made', { shopId: caller.shopId, draftId });
    return made;
  }

  async page(caller: Caller, id: string, query: PageQuery): Promise<AnswerPage<DraftTokenAnswer>> {
    const { session } = this.ground.database;
    const draftId = await this.requireDraft(session, caller, id);
    return mappedPage(
      query,
      (request) => this.parts.tokens.page(session, caller.shopId, draftId, request),
      (token) => toTokenAnswer(token, this.ground.links),
    );
  }

  /** Errors  not-found. */
  async find(caller: Caller, id: string): Promise<DraftTokenAnswer> {
    const { session } = this.ground.database;
    const tokenId = requireId('draftToken', id);
    const token = requireFound('draftToken', await this.parts.tokens.find(session, caller.shopId, tokenId));
    return toTokenAnswer(token, this.ground.links);
  }

  /** Revoking twice is one revocation. Errors  not-found. */
  async revoke(caller: Caller, id: string): Promise<void> {
    const { database, now, logger } = this.ground;
    const tokenId = requireId('draftToken', id);
    await database.unitOfWork.run(async (tx) => {
      if (await this.parts.tokens.revoke(tx, caller.shopId, tokenId, new Date(now())))
        return this.note(tx, caller, 'draft-token.revoked', tokenId);
      requireFound('draftToken', await this.parts.tokens.find(tx, caller.shopId, tokenId));
    });
    logger.info('token.revoked', { shopId: caller.shopId });
  }

  private async requireDraft(
    session: Session,
    { shopId }: Caller,
    id: string,
  ): Promise<DraftToken['draftId']> {
    const draftId = requireId('draft', id);
    return requireFound('draft', await this.parts.drafts.find(session, shopId, draftId)).id;
  }

  private note(tx: Session, caller: Caller, action: string, subjectId: string): Promise<void> {
    const { newId, now } = this.ground;
    const entry = { id: newId('auditEntry'), action, subjectId, actorId: caller.apiKeyId };
    return this.parts.audit.insert(tx, caller.shopId, { ...entry, details: {}, createdAt: new Date(now()) });
  }
}

function toTokenAnswer(token: DraftToken, links: Links): DraftTokenAnswer {
  const { id, draftId, createdAt, expiresAt, revokedAt } = token;
  const draft = links.to('drafts', draftId);
  return {
    id,
    draftId,
    createdAt: createdAt.toISOString(),
    expiresAt: expiresAt.toISOString(),
    ...(revokedAt === undefined ? {} : { revokedAt: revokedAt.toISOString() }),
    links: { self: links.to('draft-tokens', id), files: `${draft}/files`, exports: `${draft}/exports` },
  };
}
