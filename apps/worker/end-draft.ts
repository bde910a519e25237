import type { MessagePayload } from '#contracts';
import type { DraftId, Moved, ShopId, StoredDraft, Transaction } from '#persistence';
import type { WorkerParts } from './worker-parts.js';

type Event = MessagePayload<'announce-draft'>['event'];

/** Leave the announcement of an end in the outbox, in the transaction that made the end. */
export async function announceLater(
  { outbox, newId, now }: Pick<WorkerParts, 'outbox' | 'newId' | 'now'>,
  tx: Transaction,
  shopId: ShopId,
  { id, state }: StoredDraft,
): Promise<void> {
  const payload: MessagePayload<'announce-draft'> = {
    version: 1,
    draftId: id,
    event: `draft.${state}` as Event,
  };
  await outbox.insert(tx, shopId, {
    id: newId('outboxMessage'),
    topic: 'announce-draft',
    payload,
    createdAt: now(),
  });
}

export type FailParts = Pick<WorkerParts, 'database' | 'moves' | 'outbox' | 'newId' | 'now' | 'logger'>;

/** `working` -> `failed` by whoever holds the attempt, and the word to the shop, or neither. */
export async function failDraft(
  parts: FailParts,
  shopId: ShopId,
  id: DraftId,
  attempt: number,
  reason: string,
): Promise<Moved> {
  const { database, moves, now, logger } = parts;
  const moved = await database.unitOfWork.run(async (tx) => {
    const made = await moves.fail(tx, shopId, id, attempt, { reason, now: now() });
    if (made.moved) await announceLater(parts, tx, shopId, made.draft);
    return made;
  });
  if (moved.moved) logger.warn('draft.failed', { shopId, draftId: id, attempt });
  return moved;
}
