import type { MessageTopic } from '#contracts';
import type { OutboxMessageId, ShopId } from '#persistence';
import type { JobRequest } from '#queue';
import { failWork } from './fail-work.js';
import { JOB_NAMES, type JOBS } from './jobs.js';
import { HOLD_LOST_MS } from './while-held.js';
import { isUnfinished, workKinds, type KindParts, type Work, type WorkKind } from './work-kind.js';
import type { WorkerParts } from './worker-parts.js';

export type LookAfterParts = KindParts &
  Pick<WorkerParts, 'database' | 'deliveries' | 'tokens' | 'queue' | 'logger'>;

/** Longer than the longest wait between two tries of a job, so that work which waits for one is left in peace. */
const LOST_MS = 30_000;

/** How much is looked at in one round. */
const LOOK_COUNT = 100;

/** A job that is due is in the queue by way of the outbox; only what is later than that was missed. */
const OVERDUE_MS = 1_000;

const DAY_MS = 24 * 3_600_000;

/** Parked jobs are kept for whoever looks into them. */
const SWEEP = { finishedOlderThanMs: 3_600_000, parkedOlderThanMs: 14 * DAY_MS, limit: 1_000 } as const;

/** Enqueue every delivery whose time has come: waits between attempts are kept in the rows and nowhere else. */
export async function enqueueDueDeliveries(parts: LookAfterParts): Promise<'more' | 'idle'> {
  const { database, deliveries, queue, now } = parts;
  const before = new Date(now().getTime() - OVERDUE_MS);
  const due = await deliveries.overdue(database.session, before, LOOK_COUNT);
  for (const { shopId, delivery } of due) {
    await queue.enqueue(
      { name: 'deliver-webhook', payload: { version: 1, deliveryId: delivery.id, shopId } },
      { id: `${delivery.id}-${delivery.attempt}` },
    );
  }
  return 'idle';
}

/**
 * Find what the queue has lost, which happens when a Redis is emptied: the rows hold the truth.
 *
 * Messages that were sent and whose work is not reported done are looked up in the queue; one that is unknown there
 * is sent again. Work that nobody has touched for a while and no message asks for, as after a restored backup, is
 * enqueued under an id of this very standstill.
 */
export async function findLost(parts: LookAfterParts, lostMs = LOST_MS): Promise<'more' | 'idle'> {
  const before = new Date(parts.now().getTime() - lostMs);
  await lostMessages(parts, before);
  for (const kind of workKinds(parts)) await lostWork(parts, kind, before);
  return 'idle';
}

async function lostMessages(
  { database, outbox, queue, logger }: LookAfterParts,
  before: Date,
): Promise<void> {
  const lost: OutboxMessageId[] = [];
  const done: OutboxMessageId[] = [];
  for (const { id, topic } of await outbox.unfinished(database.session, before, LOOK_COUNT)) {
    const state = isJob(topic) ? await queue.stateOf(topic, id) : 'parked';
    if (state === 'unknown') lost.push(id);
    if (state === 'finished' || state === 'parked') done.push(id);
  }
  if (lost.length > 0) logger.warn('outbox.lost', { count: lost.length });
  await outbox.takeBack(database.session, lost);
  await outbox.remove(database.session, done);
}

async function lostWork<Id extends string>(
  parts: LookAfterParts,
  kind: WorkKind<Id>,
  before: Date,
): Promise<void> {
  const { database, outbox, queue, logger } = parts;
  const { topic, idField, word } = kind;
  const stalled = await kind.stalled(database.session, before, LOOK_COUNT);
  const ids = stalled.map(({ work }) => work.id);
  const askedFor = await outbox.askedFor(database.session, topic, idField, ids);
  for (const { shopId, work } of stalled.filter((found) => !askedFor.has(found.work.id))) {
    const id = `${work.id}-${work.attempt}-${work.sequence}`;
    const state = await queue.stateOf(topic, id);
    if (state === 'parked') await failAbandoned(parts, kind, shopId, work.id as Id);
    if (state !== 'unknown') continue;
    logger.warn(`${word}.lost`, { shopId, [idField]: work.id, state: work.state, attempt: work.attempt });
    await queue.enqueue(jobOf(kind, shopId, work.id), { id });
  }
}

/** The job that does a piece of work; kind and payload belong together. */
function jobOf({ topic, idField }: WorkKind<never>, shopId: ShopId, id: string): JobRequest<typeof JOBS> {
  return { name: topic, payload: { version: 1, shopId, [idField]: id } } as unknown as JobRequest<
    typeof JOBS
  >;
}

/** Fail work whose job was set aside, unless somebody is at it. */
export async function failAbandoned<Id extends string>(
  parts: Pick<LookAfterParts, 'database' | 'now' | 'logger'>,
  kind: WorkKind<Id>,
  shopId: ShopId,
  id: Id,
): Promise<void> {
  const { database, now } = parts;
  const work = await kind.find(database.session, shopId, id);
  if (work === undefined || !isUnfinished(work) || isHeld(work, now())) return;
  const { attempt } = work;
  const reason = `Every worker that began it was lost. Tell the operator the id of the ${kind.word}.`;
  if (work.state === 'working') return void (await failWork(parts, kind, { shopId, id, attempt }, reason));
  const begun = await database.unitOfWork.run((tx) =>
    kind.moves.begin(tx, shopId, id, { afterAttempt: attempt, engineVersion: 'none', now: now() }),
  );
  if (begun.moved) await failWork(parts, kind, { shopId, id, attempt: attempt + 1 }, reason);
}

function isHeld({ state, updatedAt }: Work, now: Date): boolean {
  return state === 'working' && now.getTime() - updatedAt.getTime() < HOLD_LOST_MS - 1_000;
}

/** Forget what is long done. */
export async function forgetFinished(parts: LookAfterParts): Promise<'more' | 'idle'> {
  const removed = await parts.queue.sweep(SWEEP);
  if (removed > 0) parts.logger.info('queue.swept', { count: removed });
  const { database, tokens, now } = parts;
  await tokens.removeExpired(database.session, new Date(now().getTime() - DAY_MS));
  return removed >= SWEEP.limit ? 'more' : 'idle';
}

function isJob(topic: string): topic is MessageTopic {
  return (JOB_NAMES as readonly string[]).includes(topic);
}
