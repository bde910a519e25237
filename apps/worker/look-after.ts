import type { MessageTopic } from '#contracts';
import type { DraftId, OutboxMessageId, ShopId, StoredDraft } from '#persistence';
import { failDraft } from './end-draft.js';
import { JOB_NAMES } from './jobs.js';
import { isUnfinished } from './produce-draft.processor.js';
import { HOLD_LOST_MS } from './while-held.js';
import type { WorkerParts } from './worker-parts.js';

export type LookAfterParts = Pick<
  WorkerParts,
  'database' | 'drafts' | 'moves' | 'deliveries' | 'outbox' | 'queue' | 'logger' | 'newId' | 'now'
>;

/** Longer than the longest wait between two tries of a job, so that a draft which waits for one is left in peace. */
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
 * is sent again. Drafts that nobody has touched for a while and no message asks for, as after a restored backup, are
 * enqueued under an id of this very standstill.
 */
export async function findLost(parts: LookAfterParts, lostMs = LOST_MS): Promise<'more' | 'idle'> {
  const before = new Date(parts.now().getTime() - lostMs);
  await lostMessages(parts, before);
  await lostDrafts(parts, before);
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

async function lostDrafts(parts: LookAfterParts, before: Date): Promise<void> {
  const { database, drafts, outbox, queue, logger } = parts;
  const stalled = await drafts.stalled(database.session, before, LOOK_COUNT);
  const ids = stalled.map(({ draft }) => draft.id);
  const askedFor = await outbox.draftsAskedFor(database.session, 'produce-draft', ids);
  for (const { shopId, draft } of stalled.filter((found) => !askedFor.has(found.draft.id))) {
    const id = `${draft.id}-${draft.attempt}-${draft.sequence}`;
    const state = await queue.stateOf('produce-draft', id);
    if (state === 'parked') await failAbandoned(parts, shopId, draft.id);
    if (state !== 'unknown') continue;
    logger.warn('draft.lost', { shopId, draftId: draft.id, state: draft.state, attempt: draft.attempt });
    const payload = { version: 1 as const, draftId: draft.id, shopId };
    await queue.enqueue({ name: 'produce-draft', payload }, { id });
  }
}

/** Fail a draft whose job was set aside, unless somebody is at it. */
export async function failAbandoned(parts: LookAfterParts, shopId: ShopId, id: DraftId): Promise<void> {
  const { database, drafts, moves, now } = parts;
  const draft = await drafts.find(database.session, shopId, id);
  if (draft === undefined || !isUnfinished(draft) || isHeld(draft, now())) return;
  const { attempt } = draft;
  if (draft.state === 'working') return void (await failDraft(parts, shopId, id, attempt, ABANDONED));
  const begun = await database.unitOfWork.run((tx) =>
    moves.begin(tx, shopId, id, { afterAttempt: attempt, engineVersion: 'none', now: now() }),
  );
  if (begun.moved) await failDraft(parts, shopId, id, attempt + 1, ABANDONED);
}

function isHeld({ state, updatedAt }: StoredDraft, now: Date): boolean {
  return state === 'working' && now.getTime() - updatedAt.getTime() < HOLD_LOST_MS - 1_000;
}

const ABANDONED = 'Every worker that began it was lost. Tell the operator the id of the draft.';

/** Forget what is long done. */
export async function forgetFinished(parts: LookAfterParts): Promise<'more' | 'idle'> {
  const removed = await parts.queue.sweep(SWEEP);
  if (removed > 0) parts.logger.info('queue.swept', { count: removed });
  return removed >= SWEEP.limit ? 'more' : 'idle';
}

function isJob(topic: string): topic is MessageTopic {
  return (JOB_NAMES as readonly string[]).includes(topic);
}
