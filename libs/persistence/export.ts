import type { Export as ExportRow } from './generated/client.js';
import type { DraftFile } from './draft.js';
import type { DraftId, ExportId } from './ids.js';
import { fromColumn, type JsonObject } from './json.js';
import { present } from './present.js';
import { toWork, WORK_COLUMNS, type StoredWork, type WorkState } from './stored-work.js';

/** `accepted -> working -> ready | failed`. */
export type ExportState = Extract<WorkState, 'accepted' | 'working' | 'ready' | 'failed'>;

/** How many pages, and how large: known before they are rendered. Of a roll's pages the longest. */
export interface ExportPlan {
  readonly pages: number;
  readonly pageWidthMm: number;
  readonly pageHeightMm: number;
}

/** A print of a finished draft on a paper that was chosen afterwards. */
export interface StoredExport extends StoredWork<ExportState> {
  readonly id: ExportId;
  readonly draftId: DraftId;
  readonly request: JsonObject;
  readonly plan?: ExportPlan;
  readonly file?: DraftFile;
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
  ...WORK_COLUMNS,
  id: true,
  draftId: true,
  request: true,
  pages: true,
  pageWidthMm: true,
  pageHeightMm: true,
  fileName: true,
  sha256: true,
  bytes: true,
  mediaType: true,
} as const;

type Row = Pick<ExportRow, keyof typeof EXPORT_COLUMNS>;

export function toExport(row: Row): StoredExport {
  return {
    ...toWork<ExportState>(row),
    id: row.id as ExportId,
    draftId: row.draftId as DraftId,
    request: fromColumn(row.request),
    ...present({ plan: planOf(row), file: fileOf(row) }),
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
