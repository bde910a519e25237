import type { Draft as DraftRow, DraftFile as DraftFileRow } from './generated/client.js';
import type { ApiKeyId, BlockId, BodyId, DraftId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import type { WorkProgress } from './work-moves.js';

/** `accepted -> working -> ready | needs_attention | failed | cancelled`; `accepted` may also be cancelled. */
export type DraftState = 'accepted' | 'working' | 'ready' | 'needs_attention' | 'failed' | 'cancelled';

export interface FindingCounts {
  readonly info: number;
  readonly warning: number;
  readonly stop: number;
}

export type Progress = WorkProgress;

/** A draft as it stands, without request and result, which are large. */
export interface StoredDraft {
  readonly id: DraftId;
  readonly bodyId?: BodyId;
  readonly blockId?: BlockId;
  readonly apiKeyId?: ApiKeyId;
  readonly state: DraftState;
  /** How often work was begun. Whoever works on it holds this number; an older one has lost it. */
  readonly attempt: number;
  /** Goes up with every visible change, so that events can be put in order and repeats known. */
  readonly sequence: number;
  readonly progress?: Progress;
  readonly findingCounts: FindingCounts;
  /** The shop's order line. */
  readonly reference?: string;
  readonly requestHash: string;
  /** Why it failed, in words for the shop. Never measures. */
  readonly errorReason?: string;
  readonly engineVersion?: string;
  readonly createdAt: Date;
  readonly updatedAt: Date;
  readonly startedAt?: Date;
  readonly finishedAt?: Date;
}

export interface NewDraft {
  readonly id: DraftId;
  readonly bodyId?: BodyId;
  readonly blockId?: BlockId;
  readonly apiKeyId?: ApiKeyId;
  readonly reference?: string;
  readonly request: JsonObject;
  readonly requestHash: string;
  readonly createdAt: Date;
}

/** One file of a finished draft; its content is in the file store under its hash. */
export interface DraftFile {
  readonly name: string;
  readonly sha256: string;
  readonly bytes: number;
  readonly mediaType: string;
}

/** The columns of a draft without the large ones. */
export const DRAFT_COLUMNS = {
  id: true,
  bodyId: true,
  blockId: true,
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
  requestHash: true,
  errorReason: true,
  engineVersion: true,
  createdAt: true,
  updatedAt: true,
  startedAt: true,
  finishedAt: true,
} as const;

export function toDraft(row: Pick<DraftRow, keyof typeof DRAFT_COLUMNS>): StoredDraft {
  const { stage, fraction, findingsInfo, findingsWarning, findingsStop } = row;
  return {
    id: row.id as DraftId,
    state: row.state as DraftState,
    attempt: row.attempt,
    sequence: row.sequence,
    findingCounts: { info: findingsInfo, warning: findingsWarning, stop: findingsStop },
    requestHash: row.requestHash,
    createdAt: row.createdAt,
    updatedAt: row.updatedAt,
    ...present({
      bodyId: row.bodyId as BodyId | null,
      blockId: row.blockId as BlockId | null,
      apiKeyId: row.apiKeyId as ApiKeyId | null,
      progress: stage === null || fraction === null ? null : { stage, fraction },
      reference: row.reference,
      errorReason: row.errorReason,
      engineVersion: row.engineVersion,
      startedAt: row.startedAt,
      finishedAt: row.finishedAt,
    }),
  };
}

export function toDraftFile({
  name,
  sha256,
  bytes,
  mediaType,
}: Pick<DraftFileRow, 'name' | 'sha256' | 'bytes' | 'mediaType'>): DraftFile {
  return { name, sha256, bytes: Number(bytes), mediaType };
}

export function toDocument(value: DraftRow['result']): JsonObject | undefined {
  return value === null ? undefined : fromColumn(value);
}
