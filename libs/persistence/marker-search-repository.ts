import type { MarkerId, ShopId } from './ids.js';
import { fromColumn, toColumn, type JsonObject } from './json.js';
import { rows, type Session, type Transaction } from './session.js';

/** waiting: nobody has begun it. dropped: nobody will. */
export type SearchState = 'waiting' | 'working' | 'found' | 'failed' | 'dropped';

/** Which search is meant: of a marker, under the attempt that started it. */
export interface SearchKey {
  readonly shopId: ShopId;
  readonly markerId: MarkerId;
  readonly attempt: number;
  readonly chain: number;
}

export interface StoredSearch {
  readonly chain: number;
  readonly state: SearchState;
  readonly updatedAt: Date;
}

/**
 * Searches that help with a marker. Each move is one guarded UPDATE, made from the state it expects or not at all, so a
 * search is begun once, and one whose marker has gone on under another attempt finds no row any more.
 */
export class MarkerSearchRepository {
  /** Start searches; those of attempts before are forgotten. `until` ends them by the clock. */
  async start(
    tx: Transaction,
    of: Omit<SearchKey, 'chain'>,
    chains: readonly number[],
    { now, until }: { readonly now: Date; readonly until: Date | undefined },
  ): Promise<void> {
    const { shopId, markerId } = of;
    await rows(tx).markerSearch.deleteMany({ where: { shopId, markerId } });
    await rows(tx).markerSearch.createMany({
      data: chains.map((chain) => ({
        ...of,
        chain,
        state: 'waiting' satisfies SearchState,
        until: until ?? null,
        updatedAt: now,
      })),
    });
  }

  /** When it is to end by the clock, if ever; undefined when there is nothing to begin. */
  async begin(
    session: Session,
    key: SearchKey,
    now: Date,
  ): Promise<{ readonly until: Date | undefined } | undefined> {
    const [row] = await rows(session).markerSearch.updateManyAndReturn({
      where: { ...key, state: 'waiting' satisfies SearchState },
      data: { state: 'working' satisfies SearchState, updatedAt: now },
      select: { until: true },
    });
    return row === undefined ? undefined : { until: row.until ?? undefined };
  }

  /** Say that somebody is still at it; false when it is nobody's any more. */
  async keep(session: Session, key: SearchKey, now: Date): Promise<boolean> {
    const { count } = await rows(session).markerSearch.updateMany({
      where: { ...key, state: 'working' satisfies SearchState },
      data: { updatedAt: now },
    });
    return count === 1;
  }

  /** What was found, or undefined when it failed. */
  async end(session: Session, key: SearchKey, found: JsonObject | undefined, now: Date): Promise<void> {
    const to: SearchState = found === undefined ? 'failed' : 'found';
    await rows(session).markerSearch.updateMany({
      where: { ...key, state: 'working' satisfies SearchState },
      data: { state: to, updatedAt: now, ...(found === undefined ? {} : { found: toColumn(found) }) },
    });
  }

  /** Say that it is made elsewhere and known there. */
  async settle(session: Session, key: SearchKey, now: Date): Promise<void> {
    await rows(session).markerSearch.updateMany({
      where: { ...key, state: { in: ['working', 'failed'] satisfies SearchState[] } },
      data: { state: 'dropped' satisfies SearchState, updatedAt: now },
    });
  }

  /** Let nobody begin what has not been begun, and give up what nobody has touched since `before`. */
  async drop(session: Session, of: Omit<SearchKey, 'chain'>, before: Date, now: Date): Promise<void> {
    const working = { state: 'working' satisfies SearchState, updatedAt: { lt: before } };
    await rows(session).markerSearch.updateMany({
      where: { ...of, OR: [{ state: 'waiting' satisfies SearchState }, working] },
      data: { state: 'dropped' satisfies SearchState, updatedAt: now },
    });
  }

  async states(session: Session, of: Omit<SearchKey, 'chain'>): Promise<readonly StoredSearch[]> {
    const found = await rows(session).markerSearch.findMany({
      where: of,
      orderBy: { chain: 'asc' },
      select: { chain: true, state: true, updatedAt: true },
    });
    return found.map((row) => ({ ...row, state: row.state as SearchState }));
  }

  /** What has been found so far, by chain. */
  async found(session: Session, of: Omit<SearchKey, 'chain'>): Promise<readonly JsonObject[]> {
    const found = await rows(session).markerSearch.findMany({
      where: { ...of, state: 'found' satisfies SearchState },
      orderBy: { chain: 'asc' },
      select: { found: true },
    });
    return found.map(({ found: json }) => fromColumn(json));
  }

  async remove(tx: Transaction, { shopId, markerId }: Pick<SearchKey, 'shopId' | 'markerId'>): Promise<void> {
    await rows(tx).markerSearch.deleteMany({ where: { shopId, markerId } });
  }
}
