import { CHECK_COLUMNS, toCheck, type CheckState, type StoredCheck } from './check.js';
import type { Outcome } from './draft-moves.js';
import type { CheckId, ShopId } from './ids.js';
import { toColumn } from './json.js';
import { rows, type Transaction } from './session.js';
import { finishedAt, WorkMoves, type MovedWork } from './work-moves.js';

export type MovedCheck = MovedWork<StoredCheck, CheckState>;

/** The moves of a check from state to state. */
export class CheckMoves extends WorkMoves<CheckId, StoredCheck, CheckState> {
  constructor() {
    super({ table: (session) => rows(session).check, columns: CHECK_COLUMNS, read: toCheck });
  }

  /** `working` -> `ready` or `needs_attention`, with result and files. */
  async finish(
    tx: Transaction,
    shopId: ShopId,
    id: CheckId,
    attempt: number,
    { state, result, findingCounts, files, now }: Outcome,
  ): Promise<MovedCheck> {
    const moved = await this.end(tx, shopId, id, attempt, {
      state,
      now,
      result: toColumn(result),
      findingsInfo: findingCounts.info,
      findingsWarning: findingCounts.warning,
      findingsStop: findingCounts.stop,
    });
    if (moved.moved) {
      await rows(tx).checkFile.createMany({ data: files.map((file) => ({ ...file, shopId, checkId: id })) });
    }
    return moved;
  }

  /** `accepted` or `working` -> `cancelled`. Whoever works on it learns so at the next report. */
  cancel(tx: Transaction, shopId: ShopId, id: CheckId, now: Date): Promise<MovedCheck> {
    const from = { state: { in: ['accepted', 'working'] } };
    return this.move(tx, shopId, id, from, { state: 'cancelled', ...finishedAt(now) });
  }
}
