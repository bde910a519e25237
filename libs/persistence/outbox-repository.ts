import type { OutboxMessageId, ShopId } from './ids.js';
import { fromColumn, toColumn, type JsonObject } from './json.js';
import { rows, type Session, type Transaction } from './session.js';

/** Ids, words and numbers, never geometry or measures: what is meant is looked up by whoever receives it. */
export type OutboxPayload = Readonly<Record<string, string | number | undefined>> & {
  /** Of the payload's own form, so that a message written by an older program can be read. */
  readonly version: number;
};

export interface OutboxMessage {
  readonly id: OutboxMessageId;
  readonly shopId: ShopId;
  readonly topic: string;
  readonly payload: OutboxPayload;
  readonly createdAt: Date;
}

interface UnsentRow {
  readonly id: string;
  readonly shop_id: string;
  readonly topic: string;
  readonly payload: Parameters<typeof fromColumn>[0];
  readonly created_at: Date;
}

/** Messages that leave with the transaction they belong to, or not at all. The relay sends them on. */
export class OutboxRepository {
  /** Takes a transaction on purpose: alone, a message could be lost or announce what did not happen. */
  async insert(tx: Transaction, shopId: ShopId, message: Omit<OutboxMessage, 'shopId'>): Promise<void> {
    await rows(tx).outboxMessage.create({
      data: { ...message, shopId, payload: toColumn(message.payload as JsonObject) },
    });
  }

  /**
   * Take unsent messages of every shop, the oldest first. They are this relay's until its transaction ends;
   * others skip them. Send them, then `markSent` in the same transaction. A relay that dies in between sends
   * them again: whoever receives them must know a message by its id.
   */
  async takeUnsent(tx: Transaction, countMax: number): Promise<readonly OutboxMessage[]> {
    const found = await rows(tx).$queryRaw<UnsentRow[]>`
      SELECT id, shop_id, topic, payload, created_at FROM outbox_messages
      WHERE sent_at IS NULL ORDER BY id LIMIT ${countMax} FOR UPDATE SKIP LOCKED`;
    return found.map((row) => ({
      id: row.id as OutboxMessageId,
      shopId: row.shop_id as ShopId,
      topic: row.topic,
      payload: fromColumn<OutboxPayload>(row.payload),
      createdAt: row.created_at,
    }));
  }

  async markSent(tx: Transaction, ids: readonly OutboxMessageId[], sentAt: Date): Promise<void> {
    await rows(tx).outboxMessage.updateMany({
      where: { id: { in: [...ids] }, sentAt: null },
      data: { sentAt },
    });
  }

  /** What a message asked for is done: nobody has to know it any more. */
  async remove(session: Session, ids: readonly OutboxMessageId[]): Promise<void> {
    await rows(session).outboxMessage.deleteMany({ where: { id: { in: [...ids] } } });
  }

  /** Messages sent before `before` whose work nobody has reported done, the oldest first: waiting, or lost. */
  async unfinished(session: Session, before: Date, countMax: number): Promise<readonly OutboxMessage[]> {
    const found = await rows(session).outboxMessage.findMany({
      where: { sentAt: { lt: before } },
      orderBy: { id: 'asc' },
      take: countMax,
    });
    return found.map((row) => ({
      id: row.id as OutboxMessageId,
      shopId: row.shopId as ShopId,
      topic: row.topic,
      payload: fromColumn<OutboxPayload>(row.payload),
      createdAt: row.createdAt,
    }));
  }

  /** Which of these a message of that topic still asks for: unsent, waiting in the queue, or being worked on. */
  async askedFor<Id extends string>(
    session: Session,
    topic: string,
    /** The field of the payload that names them. */
    field: string,
    ids: readonly Id[],
  ): Promise<ReadonlySet<Id>> {
    const found = await rows(session).$queryRaw<{ id: string }[]>`
      SELECT payload ->> ${field} AS id FROM outbox_messages
      WHERE topic = ${topic} AND payload ->> ${field} = ANY(${[...ids]})`;
    return new Set(found.map((row) => row.id as Id));
  }

  /** Let the relay send them again. */
  async takeBack(session: Session, ids: readonly OutboxMessageId[]): Promise<void> {
    await rows(session).outboxMessage.updateMany({ where: { id: { in: [...ids] } }, data: { sentAt: null } });
  }

  /** How many wait, and since when: what the relay's health is judged by. */
  async backlog(session: Session): Promise<{ readonly count: number; readonly oldest?: Date }> {
    const { _count, _min } = await rows(session).outboxMessage.aggregate({
      where: { sentAt: null },
      _count: true,
      _min: { createdAt: true },
    });
    return { count: _count, ...(_min.createdAt === null ? {} : { oldest: _min.createdAt }) };
  }

  /** How many were removed. */
  async removeSent(session: Session, before: Date): Promise<number> {
    return (await rows(session).outboxMessage.deleteMany({ where: { sentAt: { lt: before } } })).count;
  }
}
