import type { ApiKeyId, AuditEntryId, BodyId, ShopId } from './ids.js';
import { rows, type Transaction } from './session.js';

export interface ErasureOptions {
  readonly auditId: AuditEntryId;
  /** Missing when a retention time ran out by itself. */
  readonly actorId?: ApiKeyId;
  readonly now: Date;
}

export interface Erasure {
  readonly draftCount: number;
  /** Files that no draft of any shop refers to any more: to be removed from the store after the commit. */
  readonly orphanedFiles: readonly string[];
}

/**
 * Erase a body and everything made from its measures: its own blocks, its drafts with request, result and
 * files, and the answers kept for repeated requests, which repeat the measures. What stays is one audit
 * entry: who erased which id, when, and how many drafts went with it.
 *
 * Undefined when the shop has no such body.
 *
 * Source  Regulation (EU) 2016/679 article 17 (erasure) and 30 (records).
 */
export async function eraseBody(
  tx: Transaction,
  shopId: ShopId,
  id: BodyId,
  { auditId, actorId, now }: ErasureOptions,
): Promise<Erasure | undefined> {
  // Locked first: a draft made from this body meanwhile waits, and is then refused by the reference.
  const locked = await rows(tx).$queryRaw<unknown[]>`
    SELECT 1 FROM bodies WHERE shop_id = ${shopId} AND id = ${id} FOR UPDATE`;
  if (locked.length === 0) return undefined;
  const drafts = await rows(tx).draft.findMany({ where: { shopId, bodyId: id }, select: { id: true } });
  const draftIds = drafts.map((draft) => draft.id);
  const files = await rows(tx).draftFile.findMany({
    where: { shopId, draftId: { in: draftIds } },
    select: { sha256: true },
    distinct: ['sha256'],
  });
  await rows(tx).idempotencyKey.deleteMany({ where: { shopId, subjectId: { in: [id, ...draftIds] } } });
  await rows(tx).body.deleteMany({ where: { shopId, id } }); // the rest goes by ON DELETE CASCADE
  const draftCount = draftIds.length;
  const actor = actorId === undefined ? {} : { actorId };
  const entry = { id: auditId, shopId, action: 'body.erased', subjectId: id, ...actor, createdAt: now };
  await rows(tx).auditEntry.create({ data: { ...entry, details: { draftCount, fileCount: files.length } } });
  return {
    draftCount,
    orphanedFiles: await orphansAmong(
      tx,
      files.map(({ sha256 }) => sha256),
    ),
  };
}

/** Which of these files no draft of any shop has any more. */
export async function orphansAmong(tx: Transaction, hashes: readonly string[]): Promise<readonly string[]> {
  const kept = await rows(tx).draftFile.findMany({
    where: { sha256: { in: [...hashes] } },
    select: { sha256: true },
    distinct: ['sha256'],
  });
  const keptHashes = new Set(kept.map(({ sha256 }) => sha256));
  return hashes.filter((hash) => !keptHashes.has(hash));
}
