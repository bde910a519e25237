import { MESSAGES, type MessageTopic } from '#contracts';
import type { OutboxMessage } from '#persistence';
import type { JobRequest } from '#queue';
import type { JOBS } from './jobs.js';
import type { WorkerParts } from './worker-parts.js';

export type RelayParts = Pick<WorkerParts, 'database' | 'outbox' | 'queue' | 'logger' | 'now'>;

/** Few enough to be enqueued within the life of a transaction, many enough for a burst. */
const BATCH = 50;

/**
 * Send one batch of what transactions have left in the outbox on to the queue.
 *
 * The message's id is the job's, so a batch that was enqueued and whose mark was lost is enqueued again to no effect.
 * Rows that another relay has at hand are skipped.
 */
export async function relayOnce(parts: RelayParts): Promise<'more' | 'idle'> {
  const { database, outbox, queue, now } = parts;
  const count = await database.unitOfWork.run(async (tx) => {
    const messages = await outbox.takeUnsent(tx, BATCH);
    await Promise.all(
      messages.map(async (message) => {
        const job = toJob(message);
        if (job === undefined) parts.logger.error('outbox.unreadable', { outboxId: message.id }, undefined);
        else await queue.enqueue(job, { id: message.id });
      }),
    );
    const ids = messages.map(({ id }) => id);
    await outbox.markSent(tx, ids, now());
    return messages.length;
  });
  return count === BATCH ? 'more' : 'idle';
}

/** Undefined when no worker of this release could do anything with it. */
export function toJob({ topic, payload, shopId }: OutboxMessage): JobRequest<typeof JOBS> | undefined {
  if (!isTopic(topic) || !MESSAGES[topic].safeParse(payload).success) return undefined;
  return { name: topic, payload: { ...payload, shopId } } as unknown as JobRequest<typeof JOBS>;
}

function isTopic(topic: string): topic is MessageTopic {
  return Object.hasOwn(MESSAGES, topic);
}
