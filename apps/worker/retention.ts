import {
  eraseExpiredBody,
  eraseOldChecks,
  eraseOldDrafts,
  expiredBodies,
  removeOldDeliveries,
  unreferencedFiles,
} from '#persistence';
import type { WorkerParts } from './worker-parts.js';

export type RetentionParts = Pick<
  WorkerParts,
  'database' | 'files' | 'idempotency' | 'logger' | 'newId' | 'now'
>;

const DAY_MS = 24 * 3_600_000;

/** How much goes in one transaction: few enough that nobody waits for it. */
const AT_ONCE = 100;

/** No draft takes a day from its first file to its commit: what nothing refers to after it is nobody's. */
const ORPHAN_AGE_MS = DAY_MS;

/**
 * Erase what has been kept for as long as the shop's operator has set: drafts and checks with their files, bodies that no
 * draft uses, deliveries; and bodies and answers whose own time has come.
 *
 * Files go after the commit that let go of them. When this process dies in between, `removeOrphans` finds them.
 */
export async function eraseExpired(parts: RetentionParts, retentionDays: number): Promise<'more' | 'idle'> {
  const { database, idempotency, logger, newId, now: clock } = parts;
  const now = clock();
  const before = new Date(now.getTime() - retentionDays * DAY_MS);
  const options = { before, countMax: AT_ONCE, newAuditId: () => newId('auditEntry'), now };
  const drafts = await database.unitOfWork.run((tx) => eraseOldDrafts(tx, options));
  await removeFiles(parts, drafts);
  const checks = await database.unitOfWork.run((tx) => eraseOldChecks(tx, options));
  await removeFiles(parts, checks);
  const bodies = await expiredBodies(database.session, { now, before, countMax: AT_ONCE });
  let bodyCount = 0;
  for (const body of bodies) {
    const erased = await database.unitOfWork.run((tx) =>
      eraseExpiredBody(tx, body, { now, before, auditId: newId('auditEntry') }),
    );
    if (erased === undefined) continue;
    bodyCount += 1;
    await removeFiles(parts, erased);
  }
  const deliveryCount = await removeOldDeliveries(database.session, { before, countMax: AT_ONCE });
  const answerCount = await idempotency.removeExpired(database.session, now);
  const counts = {
    drafts: drafts.draftCount,
    checks: checks.checkCount,
    bodies: bodyCount,
    deliveries: deliveryCount,
    answers: answerCount,
  };
  for (const [kind, count] of Object.entries(counts))
    if (count > 0) logger.info(`retention.${kind}-erased`, { count });
  const isFull = [drafts.draftCount, checks.checkCount, bodyCount, deliveryCount].some(
    (count) => count >= AT_ONCE,
  );
  return isFull ? 'more' : 'idle';
}

async function removeFiles(
  { files }: RetentionParts,
  { orphanedFiles }: { readonly orphanedFiles: readonly string[] },
): Promise<void> {
  for (const sha256 of orphanedFiles) await files.remove(sha256);
}

/** Remove files that nothing refers to: a process was killed between putting them and saying whose they are. */
export async function removeOrphans(parts: RetentionParts): Promise<'idle'> {
  const { files, now, logger } = parts;
  let count = 0;
  let batch: string[] = [];
  const sweep = async (): Promise<void> => {
    for (const sha256 of await unreferencedFiles(parts.database.session, batch)) {
      await files.remove(sha256);
      count += 1;
    }
    batch = [];
  };
  for await (const sha256 of files.list(new Date(now().getTime() - ORPHAN_AGE_MS))) {
    batch.push(sha256);
    if (batch.length >= AT_ONCE) await sweep();
  }
  await sweep();
  if (count > 0) logger.info('files.orphans-removed', { count });
  return 'idle';
}
