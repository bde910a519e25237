import { DRAFT_COLUMNS, toDraft } from './draft.js';
import type { DraftFile, DraftState, FindingCounts, Progress, StoredDraft } from './draft.js';
import type { Prisma } from './generated/client.js';
import type { DraftId, ShopId } from './ids.js';
import { toColumn, type JsonObject } from './json.js';
import { rows, type Session, type Transaction } from './session.js';

/** What became of a move. Not made: somebody else was first, and `found` says how the draft stands instead. */
export type Moved =
  | { readonly moved: true; readonly draft: StoredDraft }
  | {
      readonly moved: false;
      readonly found: { readonly state: DraftState; readonly attempt: number } | 'absent';
    };

export interface Beginning {
  /** The attempt that the caller saw: of all who saw the same one, one gets the next. */
  readonly afterAttempt: number;
  readonly engineVersion: string;
  readonly now: Date;
}

export interface Outcome {
  readonly state: 'ready' | 'needs_attention';
  readonly result: JsonObject;
  readonly findingCounts: FindingCounts;
  readonly files: readonly DraftFile[];
  readonly now: Date;
}

export interface Failure {
  /** In words for the shop; never measures. */
  readonly reason: string;
  readonly now: Date;
}

/**
 * The moves of a draft from state to state, each one guarded UPDATE: it is made from the state and the
 * attempt it expects, or not at all. So every worker may run twice, and one that was thought dead and
 * comes back can change nothing: its attempt is no longer the draft's.
 */
export class DraftMoves {
  /** `accepted` -> `working`, or a dead worker's `working` taken over. */
  begin(
    tx: Transaction,
    shopId: ShopId,
    id: DraftId,
    { afterAttempt, engineVersion, now }: Beginning,
  ): Promise<Moved> {
    const from = { state: { in: ['accepted', 'working'] }, attempt: afterAttempt };
    const to = {
      state: 'working',
      attempt: afterAttempt + 1,
      startedAt: now,
      engineVersion,
      stage: null,
      fraction: null,
    };
    return move(tx, shopId, id, from, { ...to, updatedAt: now });
  }

  /** False when the attempt is no longer the draft's: stop working on it. */
  async report(
    session: Session,
    shopId: ShopId,
    id: DraftId,
    attempt: number,
    { stage, fraction, now }: Progress & { readonly now: Date },
  ): Promise<boolean> {
    const { count } = await rows(session).draft.updateMany({
      where: { shopId, id, state: 'working', attempt },
      data: { stage, fraction, updatedAt: now, sequence: { increment: 1 } },
    });
    return count === 1;
  }

  /** Say that somebody is still at it, which nobody is told of. False as with `report`. */
  async keep(session: Session, shopId: ShopId, id: DraftId, attempt: number, now: Date): Promise<boolean> {
    const { count } = await rows(session).draft.updateMany({
      where: { shopId, id, state: 'working', attempt },
      data: { updatedAt: now },
    });
    return count === 1;
  }

  /** `working` -> `ready` or `needs_attention`, with result and files. */
  async finish(
    tx: Transaction,
    shopId: ShopId,
    id: DraftId,
    attempt: number,
    outcome: Outcome,
  ): Promise<Moved> {
    const { state, result, findingCounts, files, now } = outcome;
    const moved = await move(
      tx,
      shopId,
      id,
      { state: 'working', attempt },
      {
        state,
        result: toColumn(result),
        findingsInfo: findingCounts.info,
        findingsWarning: findingCounts.warning,
        findingsStop: findingCounts.stop,
        fraction: 1,
        ...finishedAt(now),
      },
    );
    if (moved.moved) {
      await rows(tx).draftFile.createMany({ data: files.map((file) => ({ ...file, shopId, draftId: id })) });
    }
    return moved;
  }

  /** `working` -> `failed`. */
  fail(
    tx: Transaction,
    shopId: ShopId,
    id: DraftId,
    attempt: number,
    { reason, now }: Failure,
  ): Promise<Moved> {
    const to = { state: 'failed', errorReason: reason, ...finishedAt(now) };
    return move(tx, shopId, id, { state: 'working', attempt }, to);
  }

  /** `accepted` or `working` -> `cancelled`. Whoever works on it learns so at the next report. */
  cancel(tx: Transaction, shopId: ShopId, id: DraftId, now: Date): Promise<Moved> {
    return move(
      tx,
      shopId,
      id,
      { state: { in: ['accepted', 'working'] } },
      { state: 'cancelled', ...finishedAt(now) },
    );
  }
}

async function move(
  tx: Transaction,
  shopId: ShopId,
  id: DraftId,
  from: Prisma.DraftWhereInput,
  to: Prisma.DraftUpdateManyMutationInput,
): Promise<Moved> {
  const [row] = await rows(tx).draft.updateManyAndReturn({
    where: { ...from, shopId, id },
    data: { ...to, sequence: { increment: 1 } },
    select: DRAFT_COLUMNS,
  });
  if (row !== undefined) return { moved: true, draft: toDraft(row) };
  const found = await rows(tx).draft.findFirst({
    where: { shopId, id },
    select: { state: true, attempt: true },
  });
  return { moved: false, found: found === null ? 'absent' : { ...found, state: found.state as DraftState } };
}

const finishedAt = (now: Date): { finishedAt: Date; updatedAt: Date } => ({
  finishedAt: now,
  updatedAt: now,
});
