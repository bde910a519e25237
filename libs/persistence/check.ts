import type { Check as CheckRow } from './generated/client.js';
import type { DraftFile } from './draft.js';
import type { ApiKeyId, CheckId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import { FOUND_COLUMNS, toFoundWork, type FoundWork, type WorkState } from './stored-work.js';

/** As a draft's; needs attention when anything is off that decides, or has to be asked. */
export type CheckState = WorkState;

/** A pattern from outside that is checked, without the result, which is large. */
export interface StoredCheck extends FoundWork {
  readonly id: CheckId;
  /** The sender's own words for the style and for this state of it, passed through. */
  readonly styleId?: string;
  readonly versionId?: string;
  /** With the rules it is held to, as they stood when it was accepted. */
  readonly request: JsonObject;
}

export interface NewCheck {
  readonly id: CheckId;
  readonly apiKeyId: ApiKeyId;
  readonly reference?: string;
  readonly styleId?: string;
  readonly versionId?: string;
  readonly request: JsonObject;
  /** The pattern as it came. */
  readonly original: DraftFile;
  readonly createdAt: Date;
}

export const CHECK_COLUMNS = {
  ...FOUND_COLUMNS,
  id: true,
  styleId: true,
  versionId: true,
  request: true,
} as const;

export function toCheck(row: Pick<CheckRow, keyof typeof CHECK_COLUMNS>): StoredCheck {
  const { styleId, versionId } = row;
  return {
    ...toFoundWork(row),
    id: row.id as CheckId,
    request: fromColumn(row.request),
    ...present({ styleId, versionId }),
  };
}
