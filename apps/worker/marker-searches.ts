import { setTimeout as sleep } from 'node:timers/promises';
import type { MessagePayload } from '#contracts';
import type { JsonObject, MarkerId, SearchKey, StoredSearch } from '#persistence';
import { HOLD_LOST_MS } from './while-held.js';
import type { Held } from './work-kind.js';
import type { WorkerParts } from './worker-parts.js';

type Parts = Pick<WorkerParts, 'database' | 'searches' | 'outbox' | 'newId' | 'now'>;
type Of = Omit<SearchKey, 'chain'>;

/** A search that ends by the clock may be late by so much: it has its layout to hand over. */
const LATE_MS = 2_000;
const LOOK_EVERY_MS = 50;

/**
 * The searches that help with a marker: jobs like any other, so a machine that has a thread free takes one.
 *
 * The one who lays the marker makes chain 0 itself and needs nobody: what no one has begun it drops, when the clock ends
 * the search, or makes itself, when the amount of work does, so that the answer is the same wherever it was found.
 */
export class MarkerSearches {
  constructor(private readonly parts: Parts) {}

  /** Ask for chains 1, 2, ... of `count` in all; `until` is when the clock ends them. */
  async start(held: Held<MarkerId>, count: number, until: Date | undefined): Promise<void> {
    const { database, searches, outbox, newId, now } = this.parts;
    const of = ofHeld(held);
    const chains = Array.from({ length: count - 1 }, (_, i) => i + 1);
    await database.unitOfWork.run(async (tx) => {
      await searches.start(tx, of, chains, { now: now(), until });
      for (const chain of chains) {
        const payload: MessagePayload<'lay-marker'> = {
          version: 1,
          markerId: of.markerId,
          attempt: of.attempt,
          chain,
        };
        const message = { id: newId('outboxMessage'), createdAt: now(), topic: 'lay-marker', payload };
        await outbox.insert(tx, of.shopId, message);
      }
    });
  }

  /** What the others have found when the clock ends the search: those that have begun are given time to say it. */
  async inTime(held: Held<MarkerId>, until: Date, wrapUp: AbortSignal): Promise<readonly JsonObject[]> {
    const { database, searches, now } = this.parts;
    const of = ofHeld(held);
    const lost = new Date(now().getTime() - HOLD_LOST_MS);
    await searches.drop(database.session, of, lost, now());
    while (!wrapUp.aborted && now().getTime() < until.getTime() + LATE_MS) {
      const states = await searches.states(database.session, of);
      if (!states.some(({ state }) => state === 'working')) break;
      await sleep(LOOK_EVERY_MS);
    }
    return searches.found(database.session, of);
  }

  /** What all of them find, those that nobody has begun or that broke off made here by `search`. */
  async all(
    held: Held<MarkerId>,
    search: (chain: number) => Promise<JsonObject>,
    ...ended: readonly AbortSignal[]
  ): Promise<readonly JsonObject[]> {
    const { database, searches, now } = this.parts;
    const of = ofHeld(held);
    const here: JsonObject[] = [];
    while (!ended.some(({ aborted }) => aborted)) {
      const states = await searches.states(database.session, of);
      const chain = await this.take(of, states);
      if (chain === undefined && states.every(({ state }) => state === 'found' || state === 'dropped')) break;
      if (chain === undefined) await sleep(LOOK_EVERY_MS);
      else {
        here.push(await search(chain));
        // Made here: nobody else is to begin it, and it is not looked for among what others found.
        await searches.settle(database.session, { ...of, chain }, now());
      }
    }
    return [...(await searches.found(database.session, of)), ...here];
  }

  /** A search to be made here: one that nobody has begun, or whose maker is gone. */
  private async take(of: Of, states: readonly StoredSearch[]): Promise<number | undefined> {
    const { database, searches, now } = this.parts;
    for (const { chain, state } of states) {
      if (state !== 'waiting') continue;
      if ((await searches.begin(database.session, { ...of, chain }, now())) !== undefined) return chain;
    }
    const lost = now().getTime() - HOLD_LOST_MS;
    const isLost = ({ state, updatedAt }: StoredSearch): boolean =>
      state === 'failed' || (state === 'working' && updatedAt.getTime() < lost);
    return states.find(isLost)?.chain;
  }
}

export function ofHeld({ shopId, id, attempt }: Held<MarkerId>): Of {
  return { shopId, markerId: id, attempt };
}
