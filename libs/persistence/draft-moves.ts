import { DRAFT_COLUMNS, toDraft } from './draft.js';
import type { DraftFile, DraftState, FindingCounts, StoredDraft } from './draft.js';
import type { DraftId, ShopId } from './ids.js';
import { toColumn, type JsonObject } from './json.js';
import { rows, type Transaction } from './session.js';
import { finishedAt, WorkMoves, type MovedWork } from './work-moves.js';

export type Moved = MovedWork<StoredDraft, DraftState>;

export interface Outcome {
  readonly state: 'ready' | 'needs_attention';
  readonly result: JsonObject;
  readonly findingCounts: FindingCounts;
  readonly files: readonly DraftFile[];
  readonly now: Date;
}

/** The moves of a draft from state to state. */
export class DraftMoves extends WorkMoves<DraftId, StoredDraft, DraftState> {
  constructor() {
    super({
      table: (session) => rows(session).draft,
      columns: DRAFT_COLUMNS,
      read: toDraft,
    });
  }

  /** `working` -> `ready` or `needs_attention`, with result and files. */
  async finish(
    tx: Transaction,
    shopId: ShopId,
    id: DraftId,
    attempt: number,
    { state, result, findingCounts, files, now }: Outcome,
  ): Promise<Moved> {
    const moved = await this.end(tx, shopId, id, attempt, {
      state,
      now,
      result: toColumn(result),
      findingsInfo: findingCounts.info,
      findingsWarning: findingCounts.warning,
      findingsStop: findingCounts.stop,
    });
    if (moved.moved) {
      await rows(tx).draftFile.createMany({ data: files.map((file) => ({ ...file, shopId, draftId: id })) });
    }
    return moved;
  }

  /** `accepted` or `working` -> `cancelled`. Whoever works on it learns so at the next report. */
  cancel(tx: Transaction, shopId: ShopId, id: DraftId, now: Date): Promise<Moved> {
    const from = { state: { in: ['accepted', 'working'] } };
    return this.move(tx, shopId, id, from, { state: 'cancelled', ...finishedAt(now) });
  }
}
