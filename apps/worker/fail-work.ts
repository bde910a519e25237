import type { MovedWork } from '#persistence';
import type { Held, Work, WorkKind } from './work-kind.js';
import type { WorkerParts } from './worker-parts.js';

export type FailParts = Pick<WorkerParts, 'database' | 'now' | 'logger'>;

/** `working` -> `failed` by whoever holds the attempt, and the word to the shop, or neither. */
export async function failWork<Id extends string, Stored extends Work>(
  { database, now, logger }: FailParts,
  { moves, word, idField, announce }: WorkKind<Id, Stored>,
  { shopId, id, attempt }: Held<Id>,
  reason: string,
): Promise<MovedWork<Stored, string>> {
  const moved = await database.unitOfWork.run(async (tx) => {
    const made = await moves.fail(tx, shopId, id, attempt, { reason, now: now() });
    if (made.moved) await announce(tx, shopId, made.work);
    return made;
  });
  if (moved.moved) logger.warn(`${word}.failed`, { shopId, [idField]: id, attempt });
  return moved;
}
