import type { MessagePayload } from '#contracts';
import type { ShopId, Transaction } from '#persistence';
import type { WorkerParts } from './worker-parts.js';

/** What a webhook tells of when it ends. */
export type Subject = 'draft' | 'marker' | 'check';

/** Leave the announcement of an end in the outbox, in the transaction that made the end. */
export async function announceLater(
  { outbox, newId, now }: Pick<WorkerParts, 'outbox' | 'newId' | 'now'>,
  tx: Transaction,
  shopId: ShopId,
  subject: Subject,
  { id, state }: { readonly id: string; readonly state: string },
): Promise<void> {
  const message = {
    topic: `announce-${subject}`,
    payload: { version: 1, [`${subject}Id`]: id, event: `${subject}.${state}` },
  } as { readonly topic: `announce-${Subject}`; readonly payload: MessagePayload<`announce-${Subject}`> };
  await outbox.insert(tx, shopId, { id: newId('outboxMessage'), createdAt: now(), ...message });
}
