import type { Marker as MarkerRow } from './generated/client.js';
import type { DraftState, FindingCounts } from './draft.js';
import type { ApiKeyId, DraftId, MarkerId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import type { WorkProgress } from './work-moves.js';

/** As a draft's; needs attention when garments are left over. */
export type MarkerState = DraftState;

/** Cut pieces of many drafts laid on cloth, without the result, which is large. */
export interface StoredMarker {
  readonly id: MarkerId;
  readonly apiKeyId?: ApiKeyId;
  readonly state: MarkerState;
  readonly attempt: number;
  readonly sequence: number;
  readonly progress?: WorkProgress;
  /** All markers of the order end to end, as short as they are by now. */
  readonly lengthMm?: number;
  readonly findingCounts: FindingCounts;
  readonly reference?: string;
  readonly request: JsonObject;
  /** The shop wants no more search: whoever works on it ends with what there is. */
  readonly cancelRequestedAt?: Date;
  readonly errorReason?: string;
  readonly engineVersion?: string;
  readonly createdAt: Date;
  readonly updatedAt: Date;
  readonly startedAt?: Date;
  readonly finishedAt?: Date;
}

export interface NewMarker {
  readonly id: MarkerId;
  readonly apiKeyId: ApiKeyId;
  readonly reference?: string;
  readonly request: JsonObject;
  /** Every draft on it, each once. */
  readonly draftIds: readonly DraftId[];
  readonly createdAt: Date;
}

export const MARKER_COLUMNS = {
  id: true,
  apiKeyId: true,
  state: true,
  attempt: true,
  sequence: true,
  stage: true,
  fraction: true,
  lengthMm: true,
  findingsInfo: true,
  findingsWarning: true,
  findingsStop: true,
  reference: true,
  request: true,
  cancelRequestedAt: true,
  errorReason: true,
  engineVersion: true,
  createdAt: true,
  updatedAt: true,
  startedAt: true,
  finishedAt: true,
} as const;

export function toMarker(row: Pick<MarkerRow, keyof typeof MARKER_COLUMNS>): StoredMarker {
  const { stage, fraction, findingsInfo, findingsWarning, findingsStop } = row;
  return {
    id: row.id as MarkerId,
    state: row.state as MarkerState,
    attempt: row.attempt,
    sequence: row.sequence,
    findingCounts: { info: findingsInfo, warning: findingsWarning, stop: findingsStop },
    request: fromColumn(row.request),
    createdAt: row.createdAt,
    updatedAt: row.updatedAt,
    ...present({
      apiKeyId: row.apiKeyId as ApiKeyId | null,
      progress: stage === null || fraction === null ? null : { stage, fraction },
      lengthMm: row.lengthMm,
      reference: row.reference,
      cancelRequestedAt: row.cancelRequestedAt,
      errorReason: row.errorReason,
      engineVersion: row.engineVersion,
      startedAt: row.startedAt,
      finishedAt: row.finishedAt,
    }),
  };
}
