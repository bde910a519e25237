import {
  atMost,
  checkWorkJson,
  layeredRules,
  originalName,
  originsOf,
  SHOP_PROFILE,
  type AnswerPage,
  type CheckAnswer,
  type CheckOrder,
  type ComparisonAnswer,
  type MessagePayload,
  type Problem,
  type RulesContent,
} from '#contracts';
import { compareFindings } from '#judging';
import type {
  CheckFilter,
  CheckId,
  CheckMoves,
  CheckRepository,
  DraftFile,
  JsonObject,
  OutboxRepository,
  RulesProfileRepository,
  StoredCheck,
  StoredRulesProfile,
  Transaction,
} from '#persistence';
import type { FileStore } from '#storage';
import { ApiError, invalid, notFound, toFieldProblem } from './api-error.js';
import type { Caller } from './caller.js';
import { toCheckAnswer, toCheckResult, toFindingAnswer } from './checks.mapper.js';
import type { Feed } from './feed.js';
import { FollowedWorkService } from './followed-work.service.js';
import type { Ground } from './ground.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { requireId } from './require-id.js';
import { sayMessage } from './say-message.js';
import { readSentCheck, sentOnce, type SentCheck } from './sent-check.js';

export interface CheckParts {
  readonly checks: CheckRepository;
  readonly checkMoves: CheckMoves;
  readonly profiles: RulesProfileRepository;
  readonly outbox: OutboxRepository;
  readonly store: FileStore;
}

export interface ChecksQuery extends PageQuery {
  readonly state?: StoredCheck['state'] | undefined;
  readonly reference?: string | undefined;
  readonly styleId?: string | undefined;
  readonly versionId?: string | undefined;
}

/** Numbers of two versions that differ by less are alike: lengths are measured within half of it. */
const ALIKE_MM = 0.01;

/** Takes patterns in, shows what was found and compares it. Never checks: a worker hears of a check by its message. */
export class ChecksService extends FollowedWorkService<CheckId, StoredCheck, CheckAnswer> {
  constructor(
    ground: Ground,
    private readonly parts: CheckParts,
    private readonly once: Once,
    feed: Feed,
  ) {
    super(ground, feed, {
      kind: 'check',
      idOf: (text) => requireId('check', text),
      path: 'checks',
      rows: parts.checks,
      store: parts.store,
    });
  }

  /**
   * The check and its message are stored together or not at all; its pattern lies in the store before.
   *
   * Shape   `sent` is JSON of the contract, or an `Upload`.
   * Errors  request-invalid and those of `Once`.
   */
  async create(caller: Caller, sent: unknown, key: string | undefined): Promise<OnceResult<CheckAnswer>> {
    const read = readSentCheck(sent);
    if (!read.ok)
      throw invalid(
        'body',
        atMost([...read.problems, ...(await this.profileProblems(caller, read.profile))]),
      );
    const asked = read.value;
    const original = await this.keep(asked);
    const input = sentOnce(asked, original.sha256);
    const made = await this.once.run(caller, { key, action: 'checks.create', input }, async (tx) => {
      const check = await this.accept(tx, caller, asked.order, original);
      return { answer: toCheckAnswer(check, this.ground.links), subjectId: check.id };
    });
    if (!made.replayed) {
      this.ground.logger.info('check.accepted', { shopId: caller.shopId, checkId: made.answer.id });
    }
    return made;
  }

  async find(caller: Caller, id: string): Promise<CheckAnswer> {
    const { session } = this.ground.database;
    const check = await this.stored(caller, id);
    const result = toCheckResult(await this.parts.checks.findResult(session, caller.shopId, check.id));
    return { ...toCheckAnswer(check, this.ground.links), ...(result === undefined ? {} : { result }) };
  }

  async page(caller: Caller, query: ChecksQuery): Promise<AnswerPage<CheckAnswer>> {
    const { state, reference, styleId, versionId } = query;
    const filter = {
      ...(state === undefined ? {} : { state }),
      ...(reference === undefined ? {} : { reference }),
      ...(styleId === undefined ? {} : { styleId }),
      ...(versionId === undefined ? {} : { versionId }),
    } satisfies CheckFilter;
    return mappedPage(
      query,
      (request) => this.parts.checks.page(this.ground.database.session, caller.shopId, request, filter),
      (check) => toCheckAnswer(check, this.ground.links),
    );
  }

  /** Errors  not-found, state-conflict (it has ended otherwise). */
  async cancel(caller: Caller, id: string): Promise<CheckAnswer> {
    const checkId = requireId('check', id);
    const { database, now, logger } = this.ground;
    const moved = await database.unitOfWork.run(async (tx) => {
      const cancelled = await this.parts.checkMoves.cancel(tx, caller.shopId, checkId, new Date(now()));
      const event = 'check.cancelled';
      if (cancelled.moved) await this.say(tx, caller, 'announce-check', { version: 1, checkId, event });
      return cancelled;
    });
    if (moved.moved) {
      logger.info('check.cancelled', { shopId: caller.shopId, checkId });
      return toCheckAnswer(moved.work, this.ground.links);
    }
    if (moved.found === 'absent') throw notFound('check');
    if (moved.found.state === 'cancelled') return this.find(caller, id);
    const detail = `The check is ${moved.found.state} and can no longer be cancelled. Nothing is left to do; what came of it is at ${this.ground.links.to('checks', checkId)}.`;
    throw new ApiError('state-conflict', detail);
  }

  /** What came, went and changed since another check. Errors  not-found, state-conflict (one has no result). */
  async compare(caller: Caller, id: string, withId: string): Promise<ComparisonAnswer> {
    const later = await this.compared(caller, id, false);
    const earlier = await this.compared(caller, withId, true);
    const compared = compareFindings(resultOf(earlier), resultOf(later), ALIKE_MM);
    return {
      earlierId: earlier.id,
      laterId: later.id,
      came: compared.came.map(toFindingAnswer),
      went: compared.went.map(toFindingAnswer),
      changed: compared.changed.map(({ before, after, numbers }) => ({
        before: toFindingAnswer(before),
        after: toFindingAnswer(after),
        numbers: numbers.map(({ name, before: was, after: is }) => ({
          name,
          ...(was === null ? {} : { before: was }),
          ...(is === null ? {} : { after: is }),
        })),
      })),
      unchanged: compared.unchanged,
    };
  }

  /** One of the two that are compared. Errors  not-found, which says which of them. */
  private async compared(caller: Caller, id: string, isOfQuery: boolean): Promise<CheckAnswer> {
    try {
      return await this.find(caller, id);
    } catch (error) {
      if (!(error instanceof ApiError) || error.kind !== 'not-found') throw error;
      throw isOfQuery
        ? noEarlier(id)
        : new ApiError('not-found', `The check of the address: ${error.detail}`);
    }
  }

  private async keep({ order, pattern }: SentCheck): Promise<DraftFile> {
    const { sha256, bytes } =
      'stored' in pattern ? pattern.stored : await this.parts.store.put(pattern.bytes);
    const isBlock = order.pattern !== undefined && 'block' in order.pattern;
    const mediaType = isBlock ? 'application/json' : 'image/vnd.dxf';
    return { name: originalName(isBlock ? 'block' : 'dxf'), sha256, bytes, mediaType };
  }

  private async accept(
    tx: Transaction,
    caller: Caller,
    order: CheckOrder,
    original: DraftFile,
  ): Promise<StoredCheck> {
    const createdAt = new Date(this.ground.now());
    const checkId = this.ground.newId('check');
    const layers = (await this.profilesOf(tx, caller, order)).map(({ name, version, content }) => ({
      name,
      version,
      content: content as unknown as RulesContent,
    }));
    const { reference, styleId, versionId } = order;
    const request = checkWorkJson(order, {
      profiles: layers.map(({ name, version }) => ({ name, version })),
      rules: layeredRules(layers.map(({ content }) => content)),
      origins: originsOf(layers),
      today: createdAt.toISOString().slice(0, 10),
    });
    const check = await this.parts.checks.insert(tx, caller.shopId, {
      id: checkId,
      apiKeyId: caller.apiKeyId,
      ...(reference === undefined ? {} : { reference }),
      ...(styleId === undefined ? {} : { styleId }),
      ...(versionId === undefined ? {} : { versionId }),
      request: request as JsonObject,
      original,
      createdAt,
    });
    await this.say(tx, caller, 'check-pattern', { version: 1, checkId });
    return check;
  }

  /** That of the shop, where it has one, and over it the one that is named. Errors  request-invalid. */
  private async profilesOf(
    tx: Transaction,
    { shopId }: Caller,
    { profile }: CheckOrder,
  ): Promise<readonly StoredRulesProfile[]> {
    const shops = await this.parts.profiles.find(tx, shopId, SHOP_PROFILE);
    const isNamed = profile !== undefined && profile !== SHOP_PROFILE;
    const named = isNamed ? await this.parts.profiles.find(tx, shopId, profile) : undefined;
    if (profile !== undefined && (isNamed ? named : shops) === undefined)
      throw invalid('body', [noProfile(profile)]);
    return [shops, named].filter((one) => one !== undefined);
  }

  /** Of a request that is refused anyhow: whether there is the profile that it names, so that all is said at once. */
  private async profileProblems(
    { shopId }: Caller,
    profile: string | undefined,
  ): Promise<readonly Problem[]> {
    if (profile === undefined) return [];
    const found = await this.parts.profiles.find(this.ground.database.session, shopId, profile);
    return found === undefined ? [noProfile(profile)] : [];
  }

  protected toAnswer(check: StoredCheck): CheckAnswer {
    return toCheckAnswer(check, this.ground.links);
  }

  private say<Topic extends 'check-pattern' | 'announce-check'>(
    tx: Transaction,
    { shopId }: Caller,
    topic: Topic,
    payload: MessagePayload<Topic>,
  ): Promise<void> {
    return sayMessage(this.ground, this.parts.outbox, tx, shopId, { topic, payload });
  }
}

function resultOf({ id, state, result }: CheckAnswer): NonNullable<CheckAnswer['result']> {
  if (result !== undefined) return result;
  const detail = `Check ${id} is ${state} and has no result to compare. Wait for it, or name another.`;
  throw new ApiError('state-conflict', detail);
}

function noEarlier(id: string): ApiError {
  const problem = {
    pointer: '/with',
    code: 'NOT_FOUND',
    found: JSON.stringify(id),
    allowed: { form: 'the id of an earlier check of yours' },
    message: 'There is no such check as "with" names, or it is not yours.',
    action: 'The one of the address is there: name another to compare it with.',
  } as const;
  return new ApiError('not-found', problem.message, { errors: [toFieldProblem('query', problem)] });
}

function noProfile(name: string): Problem {
  return {
    pointer: '/profile',
    code: 'NOT_FOUND',
    found: JSON.stringify(name),
    allowed: { form: 'the name of a rules profile of yours' },
    message: `profile is ${JSON.stringify(name)}, and there is no such rules profile.`,
    action: `Make it with PUT /v1/rules-profiles/${name}, or leave it out.`,
  };
}
