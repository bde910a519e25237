import type { Marker as MarkerRow } from './generated/client.js';
import type { ApiKeyId, DraftId, MarkerId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import { FOUND_COLUMNS, toFoundWork, type FoundWork, type WorkState } from './stored-work.js';

/** As a draft's; needs attention when garments are left over. */
export type MarkerState = WorkState;

/** Cut pieces of many drafts laid on cloth, without the result, which is large. */
export interface StoredMarker extends FoundWork {
  readonly id: MarkerId;
  /** All markers of the order end to end, as short as they are by now. */
  readonly lengthMm?: number;
  readonly request: JsonObject;
  /** The shop wants no more search: whoever works on it ends with what there is. */
  readonly cancelRequestedAt?: Date;
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
  ...FOUND_COLUMNS,
  id: true,
  lengthMm: true,
  request: true,
  cancelRequestedAt: true,
} as const;

export function toMarker(row: Pick<MarkerRow, keyof typeof MARKER_COLUMNS>): StoredMarker {
  const { lengthMm, cancelRequestedAt } = row;
  return {
    ...toFoundWork(row),
    id: row.id as MarkerId,
    request: fromColumn(row.request),
    ...present({ lengthMm, cancelRequestedAt }),
  };
}
