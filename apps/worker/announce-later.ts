import type { MessagePayload } from '#contracts';
import type { ShopId, Transaction } from '#persistence';
import type { WorkerParts } from './worker-parts.js';

/** Leave the announcement of an end in the outbox, in the transaction that made the end. */
export async function announceLater(
  { outbox, newId, now }: Pick<WorkerParts, 'outbox' | 'newId' | 'now'>,
  tx: Transaction,
  shopId: ShopId,
  subject: 'draft' | 'marker',
  { id, state }: { readonly id: string; readonly state: string },
): Promise<void> {
  const message =
    subject === 'draft'
      ? {
          topic: 'announce-draft',
          payload: {
            version: 1,
            draftId: id,
            event: `draft.${state}` as MessagePayload<'announce-draft'>['event'],
          } satisfies MessagePayload<'announce-draft'>,
        }
      : {
          topic: 'announce-marker',
          payload: {
            version: 1,
            markerId: id,
            event: `marker.${state}` as MessagePayload<'announce-marker'>['event'],
          } satisfies MessagePayload<'announce-marker'>,
        };
  await outbox.insert(tx, shopId, { id: newId('outboxMessage'), createdAt: now(), ...message });
}
