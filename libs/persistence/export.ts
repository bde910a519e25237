import type { Export as ExportRow } from './generated/client.js';
import type { DraftFile } from './draft.js';
import type { DraftId, ExportId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import type { WorkProgress } from './work-moves.js';

/** `accepted -> working -> ready | failed`. */
export type ExportState = 'accepted' | 'working' | 'ready' | 'failed';

/** How many pages, and how large: known before they are rendered. Of a roll's pages the longest. */
export interface ExportPlan {
  readonly pages: number;
  readonly pageWidthMm: number;
  readonly pageHeightMm: number;
}

/** A print of a finished draft on a paper that was chosen afterwards. */
export interface StoredExport {
  readonly id: ExportId;
  readonly draftId: DraftId;
  readonly state: ExportState;
  readonly attempt: number;
  readonly sequence: number;
  readonly progress?: WorkProgress;
  readonly request: JsonObject;
  readonly plan?: ExportPlan;
  readonly file?: DraftFile;
  readonly errorReason?: string;
  readonly engineVersion?: string;
  readonly createdAt: Date;
  readonly updatedAt: Date;
  readonly startedAt?: Date;
  readonly finishedAt?: Date;
}

export interface NewExport {
  readonly id: ExportId;
  readonly draftId: DraftId;
  readonly request: JsonObject;
  /** Two requests with the same text are for the same print. */
  readonly requestText: string;
  readonly createdAt: Date;
}

export const EXPORT_COLUMNS = {
  id: true,
  draftId: true,
  state: true,
  attempt: true,
  sequence: true,
  stage: true,
  fraction: true,
  request: true,
  pages: true,
  pageWidthMm: true,
  pageHeightMm: true,
  fileName: true,
  sha256: true,
  bytes: true,
  mediaType: true,
  errorReason: true,
  engineVersion: true,
  createdAt: true,
  updatedAt: true,
  startedAt: true,
  finishedAt: true,
} as const;

type Row = Pick<ExportRow, keyof typeof EXPORT_COLUMNS>;

export function toExport(row: Row): StoredExport {
  const { stage, fraction } = row;
  return {
    id: row.id as ExportId,
    draftId: row.draftId as DraftId,
    state: row.state as ExportState,
    attempt: row.attempt,
    sequence: row.sequence,
    request: fromColumn(row.request),
    createdAt: row.createdAt,
    updatedAt: row.updatedAt,
    ...present({
      progress: stage === null || fraction === null ? null : { stage, fraction },
      plan: planOf(row),
      file: fileOf(row),
      errorReason: row.errorReason,
      engineVersion: row.engineVersion,
      startedAt: row.startedAt,
      finishedAt: row.finishedAt,
    }),
  };
}

function planOf({ pages, pageWidthMm, pageHeightMm }: Row): ExportPlan | null {
  if (pages === null || pageWidthMm === null || pageHeightMm === null) return null;
  return { pages, pageWidthMm, pageHeightMm };
}

function fileOf({ fileName, sha256, bytes, mediaType }: Row): DraftFile | null {
  if (fileName === null || sha256 === null || bytes === null || mediaType === null) return null;
  return { name: fileName, sha256, bytes: Number(bytes), mediaType };
}
