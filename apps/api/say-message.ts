import type { MessagePayload, MessageTopic } from '#contracts';
import type { OutboxRepository, ShopId, Transaction } from '#persistence';
import type { Ground } from './ground.js';

/** Store a message for the worker, in the transaction of what it is about: both are there or neither is. */
export function sayMessage<Topic extends MessageTopic>(
  { newId, now }: Ground,
  outbox: OutboxRepository,
  tx: Transaction,
  shopId: ShopId,
  message: { readonly topic: Topic; readonly payload: MessagePayload<Topic> },
): Promise<void> {
  return outbox.insert(tx, shopId, { ...message, id: newId('outboxMessage'), createdAt: new Date(now()) });
}
