import type { DraftFile } from './draft.js';
import { EXPORT_COLUMNS, toExport, type ExportPlan, type ExportState, type StoredExport } from './export.js';
import type { ExportId, ShopId } from './ids.js';
import { rows, type Transaction } from './session.js';
import { WorkMoves, type MovedWork } from './work-moves.js';

/** The moves of an export from state to state. */
export class ExportMoves extends WorkMoves<ExportId, StoredExport, ExportState> {
  constructor() {
    super({
      table: (session) => rows(session).export,
      columns: EXPORT_COLUMNS,
      read: toExport,
    });
  }

  /** `working` -> `ready`, with its file. */
  finish(
    tx: Transaction,
    shopId: ShopId,
    id: ExportId,
    attempt: number,
    { plan, file, now }: { readonly plan: ExportPlan; readonly file: DraftFile; readonly now: Date },
  ): Promise<MovedWork<StoredExport, ExportState>> {
    const { name: fileName, ...rest } = file;
    return this.end(tx, shopId, id, attempt, { state: 'ready', now, ...plan, fileName, ...rest });
  }
}
