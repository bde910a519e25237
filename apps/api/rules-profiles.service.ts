import { isProfileName, readRulesProfile, type RulesContent, type RulesProfileAnswer } from '#contracts';
import {
  RULES_PROFILES_MAX,
  type JsonObject,
  type RulesProfileRepository,
  type StoredRulesProfile,
} from '#persistence';
import { ApiError, invalid, notFound } from './api-error.js';
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
    return found.map((profile) => toAnswer(profile, this.ground.links));
  }

  /** Errors  not-found. */
  async find(caller: Caller, name: string): Promise<RulesProfileAnswer> {
    const { database, links } = this.ground;
    if (!isProfileName(name)) throw notFound('rules profile');
    const found = await this.profiles.find(database.session, caller.shopId, name);
    if (found === undefined) throw notFound('rules profile');
    return toAnswer(found, links);
  }

  /** Errors  not-found (the name is none), request-invalid, state-conflict (there are too many). */
  async put(caller: Caller, name: string, json: unknown): Promise<RulesProfileAnswer> {
    if (!isProfileName(name)) throw notFound('rules profile');
    const read = readRulesProfile(json);
    if (!read.ok) throw invalid('body', read.problems);
    const { database, now, links } = this.ground;
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
    return toAnswer(stored, links);
  }

  /** Errors  not-found. */
  async remove(caller: Caller, name: string): Promise<void> {
    const { session } = this.ground.database;
    const removed = isProfileName(name) && (await this.profiles.remove(session, caller.shopId, name));
    if (!removed) throw notFound('rules profile');
  }
}

function toAnswer(
  { name, version, content, createdAt, updatedAt }: StoredRulesProfile,
  links: Links,
): RulesProfileAnswer {
  const { tolerances, severities, ignore } = content as unknown as RulesContent;
  return {
    name,
    version,
    tolerances: { ...tolerances },
    severities: [...severities],
    ignore: [...ignore],
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: links.to('rules-profiles', name) },
  };
}
