import type { RulesProfile as RulesProfileRow } from './generated/client.js';
import type { ShopId } from './ids.js';
import { fromColumn, toColumn, type JsonObject } from './json.js';
import { rows, type Session, type Transaction } from './session.js';

/** What a shop, or one of its customers, holds patterns to. Its name is the shop's own word. */
export interface StoredRulesProfile {
  readonly name: string;
  /** Goes up with every change, so that a check can say which one it was held to. */
  readonly version: number;
  readonly content: JsonObject;
  readonly createdAt: Date;
  readonly updatedAt: Date;
}

/** So many of one shop are given in one answer; a shop has few customers with rules of their own. */
export const RULES_PROFILES_MAX = 500;

export class RulesProfileRepository {
  /** Make it, or put it in the place of the one that bears its name. Two at once are put one after the other. */
  async put(
    tx: Transaction,
    shopId: ShopId,
    { name, content, now }: { readonly name: string; readonly content: JsonObject; readonly now: Date },
  ): Promise<StoredRulesProfile> {
    const row = await rows(tx).rulesProfile.upsert({
      where: { shopId_name: { shopId, name } },
      create: { shopId, name, version: 1, content: toColumn(content), createdAt: now, updatedAt: now },
      update: { version: { increment: 1 }, content: toColumn(content), updatedAt: now },
    });
    return toProfile(row);
  }

  async find(session: Session, shopId: ShopId, name: string): Promise<StoredRulesProfile | undefined> {
    const row = await rows(session).rulesProfile.findFirst({ where: { shopId, name } });
    return row === null ? undefined : toProfile(row);
  }

  /** In the order of their names. */
  async all(session: Session, shopId: ShopId): Promise<readonly StoredRulesProfile[]> {
    const found = await rows(session).rulesProfile.findMany({
      where: { shopId },
      orderBy: { name: 'asc' },
      take: RULES_PROFILES_MAX,
    });
    return found.map(toProfile);
  }

  count(session: Session, shopId: ShopId): Promise<number> {
    return rows(session).rulesProfile.count({ where: { shopId } });
  }

  /** False when there was none. */
  async remove(session: Session, shopId: ShopId, name: string): Promise<boolean> {
    return (await rows(session).rulesProfile.deleteMany({ where: { shopId, name } })).count === 1;
  }
}

function toProfile({ name, version, content, createdAt, updatedAt }: RulesProfileRow): StoredRulesProfile {
  return { name, version, content: fromColumn(content), createdAt, updatedAt };
}
