import { tasksIn } from '#compute';
import { readDraftRequest, readExportRequest } from '#contracts';
import type { PrintMade } from '#deliverables';
import type { ExportId, StoredExport } from '#persistence';
import type { JobOutcome } from '#queue';
import { failWork } from './fail-work.js';
import { keepFiles } from './keep-files.js';
import { noLongerFits, type ProductionOptions } from './produce-draft.processor.js';
import { exportKind, type Held } from './work-kind.js';
import type { Prepared, Production } from './work-processor.js';
import type { WorkerParts } from './worker-parts.js';

const TASK = tasksIn<typeof import('./make-export.task.js')>(
  new URL('./make-export.task.js', import.meta.url),
)('makeExportTask');

/** How a finished draft is printed on another paper. */
export class ExportProduction implements Production<ExportId, StoredExport, PrintMade> {
  readonly kind;

  constructor(
    private readonly parts: WorkerParts,
    private readonly options: ProductionOptions,
  ) {
    this.kind = exportKind(parts);
  }

  async prepare({ shopId, id }: Held<ExportId>): Promise<Prepared<PrintMade>> {
    const { database, drafts, exports, compute } = this.parts;
    const { session } = database;
    const asked = await exports.find(session, shopId, id);
    if (asked === undefined) return undefined;
    const draft = await drafts.find(session, shopId, asked.draftId);
    const stored = await drafts.findRequest(session, shopId, asked.draftId);
    if (draft === undefined || stored === undefined) return undefined;
    const { engine, deadlineMs } = this.options;
    // The pieces are drafted again, and another engine might draft others than those that were approved.
    if (draft.engineVersion !== engine) return { reason: otherEngine(draft.engineVersion, engine) };
    const read = readDraftRequest(stored);
    if (!read.ok) return { reason: noLongerFits(read.problems) };
    const print = readExportRequest(asked.request);
    if (!print.ok) return { reason: noLongerFits(print.problems) };
    const input = { request: read.request, engine, print: print.value };
    return { deadlineMs, compute: (options) => compute.run(TASK, input, options) };
  }

  readonly columnsOf = ({ pages, pageWidthMm, pageHeightMm }: Readonly<Record<string, number>>): object => ({
    pages,
    pageWidthMm,
    pageHeightMm,
  });

  async finish(held: Held<ExportId>, made: PrintMade): Promise<JobOutcome> {
    const { database, exportMoves, now, logger } = this.parts;
    const { shopId, id, attempt } = held;
    if ('refusal' in made) {
      await failWork(this.parts, this.kind, held, made.refusal.message);
      return 'done';
    }
    const { name, bytes, sha256, mediaType } = made.file;
    const file = { name, sha256, mediaType, bytes: bytes.length };
    const moved = await keepFiles(this.parts, [made.file], () =>
      database.unitOfWork.run((tx) =>
        exportMoves.finish(tx, shopId, id, attempt, { plan: made.plan, file, now: now() }),
      ),
    );
    if (!moved.moved) return 'skipped';
    logger.info('export.ready', { shopId, exportId: id, attempt });
    return 'done';
  }
}

function otherEngine(made = 'another version', now: string): string {
  return `The draft was made by ${made} and this service is ${now}; it might come out otherwise. Send the draft again and print that.`;
}
