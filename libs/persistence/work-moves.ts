import type { ShopId } from './ids.js';
import type { Session, Transaction } from './session.js';

/** What became of a move. Not made: somebody else was first, and `found` says how the row stands instead. */
export type MovedWork<Work, State extends string> =
  | { readonly moved: true; readonly work: Work }
  | {
      readonly moved: false;
      readonly found: { readonly state: State; readonly attempt: number } | 'absent';
    };

export interface Beginning {
  /** The attempt that the caller saw: of all who saw the same one, one gets the next. */
  readonly afterAttempt: number;
  readonly engineVersion: string;
  readonly now: Date;
}

export interface Failure {
  /** In words for the shop; never measures. */
  readonly reason: string;
  readonly now: Date;
}

export interface WorkProgress {
  readonly stage: string;
  /** 0..1 of the whole. */
  readonly fraction: number;
}

/** As much of Prisma's delegate of a table as moves need; its own types differ for each table. */
export interface WorkTable {
  updateMany(args: { where: object; data: object }): PromiseLike<{ count: number }>;
  updateManyAndReturn(args: { where: object; data: object; select: object }): PromiseLike<unknown[]>;
  findFirst(args: { where: object; select: object }): PromiseLike<unknown>;
}

/** A kind of work that is kept in a table: what its moves read and write. */
export interface WorkKept<Work> {
  readonly table: (session: Session) => WorkTable;
  readonly columns: Readonly<Record<string, true>>;
  readonly read: (row: never) => Work;
}

const UNFINISHED = { in: ['accepted', 'working'] };

/**
 * The moves of a piece of work from state to state, each one guarded UPDATE: it is made from the state and the attempt
 * it expects, or not at all. So every worker may run twice, and one that was thought dead and comes back can change
 * nothing: its attempt is no longer the row's.
 */
export class WorkMoves<Id extends string, Work, State extends string> {
  constructor(private readonly kept: WorkKept<Work>) {}

  /** `accepted` -> `working`, or a dead worker's `working` taken over. */
  begin(
    tx: Transaction,
    shopId: ShopId,
    id: Id,
    { afterAttempt, engineVersion, now }: Beginning,
  ): Promise<MovedWork<Work, State>> {
    const from = { state: UNFINISHED, attempt: afterAttempt };
    const to = { state: 'working', attempt: afterAttempt + 1, startedAt: now, engineVersion };
    return this.move(tx, shopId, id, from, { ...to, stage: null, fraction: null, updatedAt: now });
  }

  /** False when the attempt is no longer the row's: stop working on it. */
  async report(
    session: Session,
    shopId: ShopId,
    id: Id,
    attempt: number,
    { stage, fraction, now }: WorkProgress & { readonly now: Date },
    /** What else has become known. */
    columns: object = {},
  ): Promise<boolean> {
    const { count } = await this.kept.table(session).updateMany({
      where: { shopId, id, state: 'working', attempt },
      data: { ...columns, stage, fraction, updatedAt: now, sequence: { increment: 1 } },
    });
    return count === 1;
  }

  /** Say that somebody is still at it, which nobody is told of. False as with `report`. */
  async keep(session: Session, shopId: ShopId, id: Id, attempt: number, now: Date): Promise<boolean> {
    const { count } = await this.kept.table(session).updateMany({
      where: { shopId, id, state: 'working', attempt },
      data: { updatedAt: now },
    });
    return count === 1;
  }

  /** `working` -> `failed`. */
  fail(
    tx: Transaction,
    shopId: ShopId,
    id: Id,
    attempt: number,
    { reason, now }: Failure,
  ): Promise<MovedWork<Work, State>> {
    const to = { state: 'failed', errorReason: reason, ...finishedAt(now) };
    return this.move(tx, shopId, id, { state: 'working', attempt }, to);
  }

  /** `working` -> an end with what was made. */
  protected end(
    tx: Transaction,
    shopId: ShopId,
    id: Id,
    attempt: number,
    { now, ...to }: { readonly state: State; readonly now: Date } & Readonly<Record<string, unknown>>,
  ): Promise<MovedWork<Work, State>> {
    const ended = { ...to, fraction: 1, ...finishedAt(now) };
    return this.move(tx, shopId, id, { state: 'working', attempt }, ended);
  }

  protected async move(
    tx: Transaction,
    shopId: ShopId,
    id: Id,
    from: object,
    to: object,
  ): Promise<MovedWork<Work, State>> {
    const { table, columns, read } = this.kept;
    const [row] = await table(tx).updateManyAndReturn({
      where: { ...from, shopId, id },
      data: { ...to, sequence: { increment: 1 } },
      select: columns,
    });
    if (row !== undefined) return { moved: true, work: read(row as never) };
    const found = await table(tx).findFirst({
      where: { shopId, id },
      select: { state: true, attempt: true },
    });
    return {
      moved: false,
      found: found === null ? 'absent' : (found as { readonly state: State; readonly attempt: number }),
    };
  }
}

export const finishedAt = (now: Date): { finishedAt: Date; updatedAt: Date } => ({
  finishedAt: now,
  updatedAt: now,
});
