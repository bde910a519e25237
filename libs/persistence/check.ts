import type { Check as CheckRow } from './generated/client.js';
import type { DraftFile, DraftState, FindingCounts } from './draft.js';
import type { ApiKeyId, CheckId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import type { WorkProgress } from './work-moves.js';

/** As a draft's; needs attention when anything is off that decides, or has to be asked. */
export type CheckState = DraftState;

/** A pattern from outside that is checked, without the result, which is large. */
export interface StoredCheck {
  readonly id: CheckId;
  readonly apiKeyId?: ApiKeyId;
  readonly state: CheckState;
  readonly attempt: number;
  readonly sequence: number;
  readonly progress?: WorkProgress;
  readonly findingCounts: FindingCounts;
  readonly reference?: string;
  /** The sender's own words for the style and for this state of it, passed through. */
  readonly styleId?: string;
  readonly versionId?: string;
  /** With the rules it is held to, as they stood when it was accepted. */
  readonly request: JsonObject;
  readonly errorReason?: string;
  readonly engineVersion?: string;
  readonly createdAt: Date;
  readonly updatedAt: Date;
  readonly startedAt?: Date;
  readonly finishedAt?: Date;
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
  id: true,
  apiKeyId: true,
  state: true,
  attempt: true,
  sequence: true,
  stage: true,
  fraction: true,
  findingsInfo: true,
  findingsWarning: true,
  findingsStop: true,
  reference: true,
  styleId: true,
  versionId: true,
  request: true,
  errorReason: true,
  engineVersion: true,
  createdAt: true,
  updatedAt: true,
  startedAt: true,
  finishedAt: true,
} as const;

export function toCheck(row: Pick<CheckRow, keyof typeof CHECK_COLUMNS>): StoredCheck {
  const { stage, fraction, findingsInfo, findingsWarning, findingsStop } = row;
  return {
    id: row.id as CheckId,
    state: row.state as CheckState,
    attempt: row.attempt,
    sequence: row.sequence,
    findingCounts: { info: findingsInfo, warning: findingsWarning, stop: findingsStop },
    request: fromColumn(row.request),
    createdAt: row.createdAt,
    updatedAt: row.updatedAt,
    ...present({
      apiKeyId: row.apiKeyId as ApiKeyId | null,
      progress: stage === null || fraction === null ? null : { stage, fraction },
      reference: row.reference,
      styleId: row.styleId,
      versionId: row.versionId,
      errorReason: row.errorReason,
      engineVersion: row.engineVersion,
      startedAt: row.startedAt,
      finishedAt: row.finishedAt,
    }),
  };
}
