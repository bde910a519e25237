import type { TaskContext } from '#compute';
import type { DraftRequest, ExportRequest } from '#contracts';
import { producePrint, type PrintMade } from '#deliverables';

export interface MakeExportInput {
  readonly request: DraftRequest;
  readonly engine: string;
  readonly print: ExportRequest;
}

/** Where rendering begins; a guess that only a bar shows. */
const LAID = 0.4;

/** Runs in a thread of the compute pool. */
export function makeExportTask(
  { request, engine, print }: MakeExportInput,
  { progress }: TaskContext,
): Promise<PrintMade> {
  // The first word of all, so that no earlier one can hold it back: how many pages it takes.
  return producePrint(request, engine, print, (plan) =>
    progress({ stage: 'rendering', fraction: LAID, figures: { ...plan } }),
  );
}
