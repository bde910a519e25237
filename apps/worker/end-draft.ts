import type { MessagePayload } from '#contracts';
import type { ShopId, StoredDraft, Transaction } from '#persistence';
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
