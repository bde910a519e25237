import type { DraftState } from './draft.js';
import { eraseBody } from './erase-body.js';
import { eraseDrafts } from './erase-drafts.js';
import { unreferencedFiles } from './file-references.js';
import type { AuditEntryId, BodyId, ShopId } from './ids.js';
import { rows, type Session, type Transaction } from './session.js';

const ENDED = ['ready', 'needs_attention', 'failed', 'cancelled'] as const satisfies DraftState[];

export interface ErasedDrafts {
  readonly draftCount: number;
  /** Files that no draft of any shop refers to any more: to be removed from the store after the commit. */
  readonly orphanedFiles: readonly string[];
}

export interface ErasingOptions {
  readonly before: Date;
  readonly countMax: number;
  readonly newAuditId: () => AuditEntryId;
  readonly now: Date;
}

/**
 * Erase drafts of every shop that ended before a time, with request, result and everything made from them. One audit entry for each shop says how many; `newAuditId` gives it its id.
 *
 * Shape   at most `countMax`, the oldest first; another worker that does the same takes others.
 */
export async function eraseOldDrafts(tx: Transaction, options: ErasingOptions): Promise<ErasedDrafts> {
  const { before, countMax, newAuditId, now } = options;
  const found = await rows(tx).$queryRaw<{ readonly id: string; readonly shop_id: string }[]>`
    SELECT id, shop_id FROM drafts WHERE state = ANY(${[...ENDED]}) AND updated_at < ${before}
    ORDER BY updated_at LIMIT ${countMax} FOR UPDATE SKIP LOCKED`;
  const ids = found.map(({ id }) => id);
  const { orphanedFiles } = await eraseDrafts(tx, ids);
  for (const [shopId, draftCount] of countByShop(found)) {
    const entry = { id: newAuditId(), shopId, action: 'drafts.expired', subjectId: shopId, createdAt: now };
    await rows(tx).auditEntry.create({ data: { ...entry, details: { draftCount } } });
  }
  return { draftCount: ids.length, orphanedFiles };
}

export interface ErasedChecks {
  readonly checkCount: number;
  /** As of `ErasedDrafts`. */
  readonly orphanedFiles: readonly string[];
}

/** Erase checks that ended before a time, with the patterns they were of, as `eraseOldDrafts` does drafts. */
export async function eraseOldChecks(tx: Transaction, options: ErasingOptions): Promise<ErasedChecks> {
  const { before, countMax, newAuditId, now } = options;
  const found = await rows(tx).$queryRaw<{ readonly id: string; readonly shop_id: string }[]>`
    SELECT id, shop_id FROM checks WHERE state = ANY(${[...ENDED]}) AND updated_at < ${before}
    ORDER BY updated_at LIMIT ${countMax} FOR UPDATE SKIP LOCKED`;
  const ids = found.map(({ id }) => id);
  const files = await rows(tx).checkFile.findMany({
    where: { checkId: { in: ids } },
    select: { sha256: true },
  });
  await rows(tx).idempotencyKey.deleteMany({ where: { subjectId: { in: ids } } });
  await rows(tx).check.deleteMany({ where: { id: { in: ids } } }); // its files by ON DELETE CASCADE
  for (const [shopId, checkCount] of countByShop(found)) {
    const entry = { id: newAuditId(), shopId, action: 'checks.expired', subjectId: shopId, createdAt: now };
    await rows(tx).auditEntry.create({ data: { ...entry, details: { checkCount } } });
  }
  const hashes = [...new Set(files.map(({ sha256 }) => sha256))];
  return { checkCount: ids.length, orphanedFiles: await unreferencedFiles(tx, hashes) };
}

function countByShop(found: readonly { readonly shop_id: string }[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const { shop_id: shopId } of found) counts.set(shopId, (counts.get(shopId) ?? 0) + 1);
  return counts;
}

export interface ExpiredBody {
  readonly shopId: ShopId;
  readonly id: BodyId;
}

/** Bodies whose own time has come, and those that were last changed before a time and that no draft uses. */
export async function expiredBodies(
  session: Session,
  { now, before, countMax }: { readonly now: Date; readonly before: Date; readonly countMax: number },
): Promise<readonly ExpiredBody[]> {
  const found = await rows(session).$queryRaw<{ readonly id: string; readonly shop_id: string }[]>`
    SELECT b.id, b.shop_id FROM bodies b
    WHERE b.erase_after <= ${now} OR (b.updated_at < ${before} AND NOT EXISTS (
      SELECT 1 FROM drafts d WHERE d.shop_id = b.shop_id AND d.body_id = b.id))
    ORDER BY b.id LIMIT ${countMax}`;
  return found.map(({ id, shop_id: shopId }) => ({ shopId: shopId as ShopId, id: id as BodyId }));
}

/**
 * Erase one of `expiredBodies`, if it still is one: between the look and now it may have been used or changed.
 *
 * Undefined when it is to stay.
 */
export async function eraseExpiredBody(
  tx: Transaction,
  { shopId, id }: ExpiredBody,
  { now, before, auditId }: { readonly now: Date; readonly before: Date; readonly auditId: AuditEntryId },
): Promise<ErasedDrafts | undefined> {
  // Locked before it is looked at again: a draft made from it meanwhile waits, and is then refused by the reference.
  await rows(tx).$queryRaw`SELECT 1 FROM bodies WHERE shop_id = ${shopId} AND id = ${id} FOR UPDATE`;
  const body = await rows(tx).body.findFirst({ where: { shopId, id } });
  if (body === null) return undefined;
  const isDue = body.eraseAfter !== null && body.eraseAfter <= now;
  const isUnused =
    body.updatedAt < before && (await rows(tx).draft.count({ where: { shopId, bodyId: id } })) === 0;
  return isDue || isUnused ? eraseBody(tx, shopId, id, { auditId, now }) : undefined;
}

/** Forget deliveries, with their attempts, that ended before a time. How many, of every shop; at most `countMax`. */
export async function removeOldDeliveries(
  session: Session,
  { before, countMax }: { readonly before: Date; readonly countMax: number },
): Promise<number> {
  return rows(session).$executeRaw`
    DELETE FROM deliveries WHERE id IN (
      SELECT id FROM deliveries WHERE finished_at < ${before} ORDER BY finished_at LIMIT ${countMax})`;
}
