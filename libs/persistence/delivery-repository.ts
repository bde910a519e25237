import { toAttempt, toDelivery } from './delivery.js';
import type { AfterAttempt, Delivery, DeliveryAttempt, DeliveryState, NewDelivery } from './delivery.js';
import type { DeliveryId, ShopId, WebhookEndpointId } from './ids.js';
import { toColumn } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session, type Transaction } from './session.js';

export interface DeliveryFilter {
  readonly endpointId?: WebhookEndpointId;
  readonly subjectId?: string;
  readonly state?: DeliveryState;
}

export interface Lease {
  readonly now: Date;
  /** After it a sender that has not answered is taken for dead and the delivery is due again. */
  readonly until: Date;
}

export class DeliveryRepository {
  /** Due at once. False when that event is already on its way to that endpoint: the message came twice. */
  async insert(session: Session, shopId: ShopId, delivery: NewDelivery): Promise<boolean> {
    const state = { state: 'pending' satisfies DeliveryState, attempt: 0, nextAttemptAt: delivery.createdAt };
    const data = [{ ...delivery, ...state, shopId, payload: toColumn(delivery.payload) }];
    return (await rows(session).delivery.createMany({ data, skipDuplicates: true })).count === 1;
  }

  async find(session: Session, shopId: ShopId, id: DeliveryId): Promise<Delivery | undefined> {
    const row = await rows(session).delivery.findFirst({ where: { shopId, id } });
    return row === null ? undefined : toDelivery(row);
  }

  async page(
    session: Session,
    shopId: ShopId,
    request: PageRequest,
    filter: DeliveryFilter = {},
  ): Promise<Page<Delivery>> {
    const { after, take, orderBy } = windowOf(request);
    const where = { shopId, ...filter, ...after };
    return pageOf(await rows(session).delivery.findMany({ where, take, orderBy }), request, toDelivery);
  }

  /** In the order they were made. */
  async attempts(
    session: Session,
    shopId: ShopId,
    deliveryId: DeliveryId,
  ): Promise<readonly DeliveryAttempt[]> {
    const found = await rows(session).deliveryAttempt.findMany({
      where: { shopId, deliveryId },
      orderBy: { attempt: 'asc' },
    });
    return found.map(toAttempt);
  }

  /**
   * Take deliveries of every shop that are due, each for one sender: its attempt number goes up and it is not
   * due again before the lease ends.
   */
  async takeDue(
    tx: Transaction,
    countMax: number,
    lease: Lease,
  ): Promise<readonly { readonly shopId: ShopId; readonly delivery: Delivery }[]> {
    const due = await rows(tx).$queryRaw<{ id: string }[]>`
      SELECT id FROM deliveries WHERE state = 'pending' AND next_attempt_at <= ${lease.now}
      ORDER BY next_attempt_at LIMIT ${countMax} FOR UPDATE SKIP LOCKED`;
    const taken = await rows(tx).delivery.updateManyAndReturn({
      where: { id: { in: due.map(({ id }) => id) } },
      data: { attempt: { increment: 1 }, nextAttemptAt: lease.until },
    });
    return taken.map((row) => ({ shopId: row.shopId as ShopId, delivery: toDelivery(row) }));
  }

  /** Those of every shop that were due before `before` and that nobody has taken: the longest overdue first. */
  async overdue(
    session: Session,
    before: Date,
    countMax: number,
  ): Promise<readonly { readonly shopId: ShopId; readonly delivery: Delivery }[]> {
    const found = await rows(session).delivery.findMany({
      where: { state: 'pending' satisfies DeliveryState, nextAttemptAt: { lte: before } },
      orderBy: { nextAttemptAt: 'asc' },
      take: countMax,
    });
    return found.map((row) => ({ shopId: row.shopId as ShopId, delivery: toDelivery(row) }));
  }

  /** Keep a delivery that was taken. False when it is no longer this sender's. */
  async extend(
    session: Session,
    shopId: ShopId,
    id: DeliveryId,
    attempt: number,
    until: Date,
  ): Promise<boolean> {
    const { count } = await rows(session).delivery.updateMany({
      where: { shopId, id, state: 'pending', attempt },
      data: { nextAttemptAt: until },
    });
    return count === 1;
  }

  /** Take one that is due, as `takeDue` does. Undefined when it is not due or another sender has it. */
  async take(session: Session, shopId: ShopId, id: DeliveryId, lease: Lease): Promise<Delivery | undefined> {
    const [row] = await rows(session).delivery.updateManyAndReturn({
      where: { shopId, id, state: 'pending', nextAttemptAt: { lte: lease.now } },
      data: { attempt: { increment: 1 }, nextAttemptAt: lease.until },
    });
    return row === undefined ? undefined : toDelivery(row);
  }

  /** Record an attempt and what follows. False, and nothing recorded, when the delivery is no longer this sender's. */
  async finishAttempt(
    tx: Transaction,
    shopId: ShopId,
    id: DeliveryId,
    made: DeliveryAttempt,
    next: AfterAttempt,
  ): Promise<boolean> {
    const times =
      next.state === 'pending'
        ? { nextAttemptAt: next.nextAttemptAt }
        : { nextAttemptAt: null, finishedAt: next.finishedAt };
    const { count } = await rows(tx).delivery.updateMany({
      where: { shopId, id, state: 'pending', attempt: made.attempt },
      data: { state: next.state, ...times },
    });
    if (count === 0) return false;
    await rows(tx).deliveryAttempt.create({ data: { ...made, shopId, deliveryId: id } });
    return true;
  }

  /** Send it again from the beginning, by hand. False when it is still on its way or not this shop's. */
  async replay(session: Session, shopId: ShopId, id: DeliveryId, now: Date): Promise<boolean> {
    const { count } = await rows(session).delivery.updateMany({
      where: { shopId, id, state: { not: 'pending' } },
      data: { state: 'pending', nextAttemptAt: now, finishedAt: null },
    });
    return count === 1;
  }

  /** What is still on its way to an endpoint that was disabled. */
  async cancelPending(
    session: Session,
    shopId: ShopId,
    endpointId: WebhookEndpointId,
    finishedAt: Date,
  ): Promise<number> {
    const { count } = await rows(session).delivery.updateMany({
      where: { shopId, endpointId, state: 'pending' },
      data: { state: 'cancelled', nextAttemptAt: null, finishedAt },
    });
    return count;
  }
}
