import { unreferencedFiles } from './file-references.js';
import { rows, type Transaction } from './session.js';

export interface DraftsErased {
  readonly fileCount: number;
  /** Files that nothing of any shop refers to any more: to be removed from the store after the commit. */
  readonly orphanedFiles: readonly string[];
}

/**
 * Erase drafts, of whatever shop, and everything made from them: files, prints, tokens, the answers kept for repeated
 * requests, and every marker that shows a piece of one of them, whoever else is on it: the pieces cannot be taken out.
 *
 * The drafts are locked by the caller, so that nobody prints or lays one meanwhile.
 */
export async function eraseDrafts(tx: Transaction, draftIds: readonly string[]): Promise<DraftsErased> {
  const ofDrafts = { draftId: { in: [...draftIds] } };
  const files = await rows(tx).draftFile.findMany({ where: ofDrafts, select: { sha256: true } });
  const exports = await rows(tx).export.findMany({ where: ofDrafts, select: { id: true, sha256: true } });
  const laid = await rows(tx).markerDraft.findMany({ where: ofDrafts, select: { markerId: true } });
  const markerIds = [...new Set(laid.map(({ markerId }) => markerId))];
  const drawn = await rows(tx).markerFile.findMany({
    where: { markerId: { in: markerIds } },
    select: { sha256: true },
  });
  const subjects = [...draftIds, ...exports.map(({ id }) => id), ...markerIds];
  await rows(tx).idempotencyKey.deleteMany({ where: { subjectId: { in: subjects } } });
  await rows(tx).marker.deleteMany({ where: { id: { in: markerIds } } });
  // What is a draft's own goes by ON DELETE CASCADE.
  await rows(tx).draft.deleteMany({ where: { id: { in: [...draftIds] } } });
  const hashes = [...new Set([...files, ...exports, ...drawn].flatMap(({ sha256 }) => sha256 ?? []))];
  return { fileCount: hashes.length, orphanedFiles: await unreferencedFiles(tx, hashes) };
}
