import {
  isProfileName,
  PROFILE_NAME_FORM,
  readRulesProfile,
  type Problem,
  type RulesContent,
  type RulesProfileAnswer,
} from '#contracts';
import {
  RULES_PROFILES_MAX,
  type JsonObject,
  type RulesProfileRepository,
  type StoredRulesProfile,
} from '#persistence';
import { ApiError, invalid, notFound, toFieldProblem } from './api-error.js';
import type { Caller } from './caller.js';
import type { Ground } from './ground.js';
import type { Links } from './links.js';
import { retried } from './retried.js';

/** What a shop, and each of its customers, holds patterns to. */
export class RulesProfilesService {
  constructor(
    private readonly ground: Ground,
    private readonly profiles: RulesProfileRepository,
  ) {}

  async all(caller: Caller): Promise<readonly RulesProfileAnswer[]> {
    const found = await this.profiles.all(this.ground.database.session, caller.shopId);
    return found.map((profile) => this.toAnswer(profile));
  }

  /** Errors  not-found. */
  async find(caller: Caller, name: string): Promise<RulesProfileAnswer> {
    const { database } = this.ground;
    if (!isProfileName(name)) throw notFound('rules profile');
    const found = await this.profiles.find(database.session, caller.shopId, name);
    if (found === undefined) throw notFound('rules profile');
    return this.toAnswer(found);
  }

  /** Errors  request-invalid (the name in the address too), state-conflict (there are too many). */
  async put(caller: Caller, name: string, json: unknown): Promise<RulesProfileAnswer> {
    const read = readRulesProfile(json);
    const named = isProfileName(name) ? [] : [noName(name)];
    if (!read.ok || named.length > 0) throw refusal(named, read.ok ? [] : read.problems);
    const { database, now } = this.ground;
    const content = read.value as unknown as JsonObject;
    const stored = await retried(() =>
      database.unitOfWork.run(async (tx) => {
        const known = await this.profiles.find(tx, caller.shopId, name);
        const count = known === undefined ? await this.profiles.count(tx, caller.shopId) : 0;
        if (count >= RULES_PROFILES_MAX) {
          const detail = `There are ${RULES_PROFILES_MAX} rules profiles, which is the most. Remove one that is not used.`;
          throw new ApiError('state-conflict', detail);
        }
        return this.profiles.put(tx, caller.shopId, { name, content, now: new Date(now()) });
      }),
    );
    return this.toAnswer(stored);
  }

  /** Errors  not-found. */
  async remove(caller: Caller, name: string): Promise<void> {
    const { session } = this.ground.database;
    const removed = isProfileName(name) && (await this.profiles.remove(session, caller.shopId, name));
    if (!removed) throw notFound('rules profile');
  }

  private toAnswer(profile: StoredRulesProfile): RulesProfileAnswer {
    return toAnswer(profile, this.ground.links, new Date(this.ground.now()).toISOString().slice(0, 10));
  }
}

/** The name stands in the address; its problem is told with those of the body. */
function refusal(named: readonly Problem[], problems: readonly Problem[]): ApiError {
  const { kind, detail } = invalid('body', [...named, ...problems]);
  return new ApiError(kind, detail, {
    errors: [
      ...named.map((problem) => toFieldProblem('path', problem)),
      ...problems.map((problem) => toFieldProblem('body', problem)),
    ],
  });
}

function noName(name: string): Problem {
  return {
    pointer: '/name',
    code: 'NOT_ALLOWED',
    found: JSON.stringify(name.slice(0, 60)),
    allowed: { form: PROFILE_NAME_FORM },
    message: `The name of a rules profile in the address is not ${PROFILE_NAME_FORM}.`,
    action: 'Choose a name like maison-a.',
  };
}

/** `today` says which entries of the ignore list are over. */
function toAnswer(
  { name, version, content, createdAt, updatedAt }: StoredRulesProfile,
  links: Links,
  today: string,
): RulesProfileAnswer {
  const { tolerances, severities, ignore } = content as unknown as RulesContent;
  return {
    name,
    version,
    tolerances: { ...tolerances },
    severities: [...severities],
    ignore: ignore.map((entry) => (entry.until < today ? { ...entry, hasEnded: true } : { ...entry })),
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: links.to('rules-profiles', name) },
  };
}
