import type { DraftFile, FindingCounts } from './draft.js';
import type { MarkerId, ShopId } from './ids.js';
import { toColumn, type JsonObject } from './json.js';
import { MARKER_COLUMNS, toMarker, type MarkerState, type StoredMarker } from './marker.js';
import { rows, type Transaction } from './session.js';
import { finishedAt, WorkMoves, type MovedWork } from './work-moves.js';

export type MovedMarker = MovedWork<StoredMarker, MarkerState>;

export interface MarkerOutcome {
  /** `cancelled` with the best there was when the shop wanted no more search. */
  readonly state: 'ready' | 'needs_attention' | 'cancelled';
  readonly result: JsonObject;
  readonly lengthMm: number;
  readonly findingCounts: FindingCounts;
  readonly files: readonly DraftFile[];
  readonly now: Date;
}

/** The moves of a marker from state to state. */
export class MarkerMoves extends WorkMoves<MarkerId, StoredMarker, MarkerState> {
  constructor() {
    super({ table: (session) => rows(session).marker, columns: MARKER_COLUMNS, read: toMarker });
  }

  /** `working` -> its end, with result and files. */
  async finish(
    tx: Transaction,
    shopId: ShopId,
    id: MarkerId,
    attempt: number,
    { state, result, lengthMm, findingCounts, files, now }: MarkerOutcome,
  ): Promise<MovedMarker> {
    const moved = await this.end(tx, shopId, id, attempt, {
      state,
      now,
      lengthMm,
      result: toColumn(result),
      findingsInfo: findingCounts.info,
      findingsWarning: findingCounts.warning,
      findingsStop: findingCounts.stop,
    });
    if (moved.moved) {
      const data = files.map((file) => ({ ...file, shopId, markerId: id }));
      await rows(tx).markerFile.createMany({ data });
    }
    return moved;
  }

  /** `accepted` -> `cancelled`: nobody has laid anything yet. */
  cancel(tx: Transaction, shopId: ShopId, id: MarkerId, now: Date): Promise<MovedMarker> {
    const to = { state: 'cancelled', cancelRequestedAt: now, ...finishedAt(now) };
    return this.move(tx, shopId, id, { state: 'accepted' }, to);
  }

  /** Say to whoever works on it that it is to end with what there is. Saying it twice is saying it once. */
  askToCancel(tx: Transaction, shopId: ShopId, id: MarkerId, now: Date): Promise<MovedMarker> {
    const from = { state: 'working', cancelRequestedAt: null };
    return this.move(tx, shopId, id, from, { cancelRequestedAt: now });
  }
}
