import { eraseDrafts } from './erase-drafts.js';
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
 * Erase a body and everything made from its measures: its own blocks, its drafts with request, result,
 * files, prints and tokens, the markers they lie on, and the answers kept for repeated requests, which repeat the measures. What stays is one audit
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
  // Locked too: a marker that is asked for meanwhile waits, and is then refused by its references.
  const drafts = await rows(tx).$queryRaw<{ id: string }[]>`
    SELECT id FROM drafts WHERE shop_id = ${shopId} AND body_id = ${id} FOR UPDATE`;
  const draftIds = drafts.map((draft) => draft.id);
  const erased = await eraseDrafts(tx, draftIds);
  await rows(tx).idempotencyKey.deleteMany({ where: { shopId, subjectId: id } });
  await rows(tx).body.deleteMany({ where: { shopId, id } }); // its blocks go by ON DELETE CASCADE
  const draftCount = draftIds.length;
  const actor = actorId === undefined ? {} : { actorId };
  const entry = { id: auditId, shopId, action: 'body.erased', subjectId: id, ...actor, createdAt: now };
  await rows(tx).auditEntry.create({
    data: { ...entry, details: { draftCount, fileCount: erased.fileCount } },
  });
  return { draftCount, orphanedFiles: erased.orphanedFiles };
}
