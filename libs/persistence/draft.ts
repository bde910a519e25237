import type { Draft as DraftRow, DraftFile as DraftFileRow } from './generated/client.js';
import type { ApiKeyId, BlockId, BodyId, DraftId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import {
  FOUND_COLUMNS,
  toFoundWork,
  type FindingCounts,
  type FoundWork,
  type WorkState,
} from './stored-work.js';
import type { WorkProgress } from './work-moves.js';

export type DraftState = WorkState;
export type { FindingCounts };
export type Progress = WorkProgress;

/** A draft as it stands, without request and result, which are large. */
export interface StoredDraft extends FoundWork {
  readonly id: DraftId;
  readonly bodyId?: BodyId;
  readonly blockId?: BlockId;
  readonly requestHash: string;
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
  ...FOUND_COLUMNS,
  id: true,
  bodyId: true,
  blockId: true,
  requestHash: true,
} as const;

export function toDraft(row: Pick<DraftRow, keyof typeof DRAFT_COLUMNS>): StoredDraft {
  return {
    ...toFoundWork(row),
    id: row.id as DraftId,
    requestHash: row.requestHash,
    ...present({ bodyId: row.bodyId as BodyId | null, blockId: row.blockId as BlockId | null }),
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
