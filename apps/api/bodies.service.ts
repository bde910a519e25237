import { canonicalJson, correctionsJson, readBody, type AnswerPage, type BodyAnswer } from '#contracts';
import { eraseBody, PersistenceError, type BodyRepository, type StoredBody } from '#persistence';
import type { FileStore } from '#storage';
import { ApiError, invalid } from './api-error.js';
import { toBodyAnswer } from './bodies.mapper.js';
import type { Caller } from './caller.js';
import type { Ground } from './ground.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { requireFound, requireId } from './require-id.js';

export interface BodiesQuery extends PageQuery {
  readonly ref?: string | undefined;
}

/** Keeps the measures of persons, and forgets them. */
export class BodiesService {
  constructor(
    private readonly ground: Ground,
    private readonly bodies: BodyRepository,
    private readonly store: FileStore,
    private readonly once: Once,
  ) {}

  /** Errors  request-invalid, already-exists (the reference). */
  async create(caller: Caller, json: unknown, key: string | undefined): Promise<OnceResult<BodyAnswer>> {
    const body = requireBody(json);
    const { newId, now, links } = this.ground;
    const request = { key, action: 'bodies.create', input: json };
    const created = this.once.run(caller, request, async (tx) => {
      const at = new Date(now());
      const times = { createdAt: at, updatedAt: at };
      const stored = await this.bodies.insert(tx, caller.shopId, {
        ...body,
        id: newId('body'),
        ...times,
      });
      return { answer: toBodyAnswer(stored, links), subjectId: stored.id };
    });
    return created.catch((error: unknown) => this.refuseSecond(caller, body.ref, error));
  }

  async find(caller: Caller, id: string): Promise<BodyAnswer> {
    return toBodyAnswer(await this.stored(caller, id), this.ground.links);
  }

  page(caller: Caller, { ref, ...query }: BodiesQuery): Promise<AnswerPage<BodyAnswer>> {
    return mappedPage(
      query,
      (request) => this.bodies.page(this.ground.database.session, caller.shopId, request, ref),
      (body) => toBodyAnswer(body, this.ground.links),
    );
  }

  /**
   * Put other measures in the place of a body's, if it is still the version that `ifMatch` names.
   *
   * Errors  not-found, if-match-missing, changed-meanwhile, request-invalid.
   */
  async replace(caller: Caller, id: string, json: unknown, ifMatch: string | undefined): Promise<BodyAnswer> {
    const found = await this.stored(caller, id);
    if (ifMatch === undefined) {
      throw new ApiError('if-match-missing', 'Send the ETag of the version you change as If-Match.');
    }
    const { ref, ...sent } = requireBody(json);
    if (ref !== found.ref) throw otherReference(ref, found.ref);
    const named = ifMatch.split(',').map((tag) => tag.trim());
    if (!named.includes('*') && !named.includes(bodyTag(found.updatedAt.toISOString()))) throw changed();
    // A version is named by its time, so two changes within a millisecond must not have the same one.
    const updatedAt = new Date(Math.max(this.ground.now(), found.updatedAt.getTime() + 1));
    const { session } = this.ground.database;
    const change = { ...sent, updatedAt };
    const replaced = await this.bodies.updateUnchanged(
      session,
      caller.shopId,
      found.id,
      found.updatedAt,
      change,
    );
    if (replaced === undefined) throw changed();
    return toBodyAnswer(replaced, this.ground.links);
  }

  /** The body, its drafts and their files are gone when this returns. Errors  not-found. */
  async erase(caller: Caller, id: string): Promise<void> {
    const { database, newId, now, logger } = this.ground;
    const bodyId = requireId('body', id);
    const options = { auditId: newId('auditEntry'), actorId: caller.apiKeyId, now: new Date(now()) };
    const erased = requireFound(
      'body',
      await database.unitOfWork.run((tx) => eraseBody(tx, caller.shopId, bodyId, options)),
    );
    // After the commit: a file is removed once nothing refers to it any more, never before.
    for (const sha256 of erased.orphanedFiles) await this.store.remove(sha256);
    logger.info('body.erased', { shopId: caller.shopId, count: erased.draftCount });
  }

  /** The shop knows its ref, and needs the id to go on. */
  private async refuseSecond(caller: Caller, ref: string, error: unknown): Promise<never> {
    if (!(error instanceof PersistenceError) || error.code !== 'ALREADY_EXISTS') throw error;
    const found = await this.bodies.findByRef(this.ground.database.session, caller.shopId, ref);
    const which = found === undefined ? 'a body' : `the body ${found.id}`;
    throw new ApiError(
      'already-exists',
      `This ref is that of ${which}. Draft from that one or change it, or use another ref.`,
    );
  }

  private async stored(caller: Caller, id: string): Promise<StoredBody> {
    const bodyId = requireId('body', id);
    return requireFound('body', await this.bodies.find(this.ground.database.session, caller.shopId, bodyId));
  }
}

/** The version of a body, by when it was changed: a hash of measures would be a trace of them. */
export function bodyTag(updatedAt: string): string {
  return `"${Date.parse(updatedAt).toString(36)}"`;
}

type SentBody = Pick<StoredBody, 'ref' | 'sex' | 'insideLegTaken' | 'measures' | 'corrections'>;

function requireBody(json: unknown): SentBody {
  const read = readBody(json);
  if (!read.ok) throw invalid('body', read.problems);
  const { ref, sex, insideLegTaken, measures, corrections = [] } = read.value;
  return {
    ref,
    sex,
    insideLegTaken,
    measures: JSON.parse(canonicalJson(measures)) as SentBody['measures'],
    corrections: correctionsJson(corrections),
  };
}

function changed(): ApiError {
  return new ApiError('changed-meanwhile', 'The body was changed since you read it. Read it again.');
}

function otherReference(found: string, allowed: string): ApiError {
  return new ApiError('request-invalid', 'One field is wrong.', {
    errors: [
      {
        in: 'body',
        pointer: '/ref',
        code: 'NOT_ALLOWED',
        found: JSON.stringify(found),
        allowed: JSON.stringify(allowed),
        detail: 'The ref of a body stays. Send it as it is, or store another body.',
      },
    ],
  });
}
