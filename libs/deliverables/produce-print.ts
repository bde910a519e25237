import { draftRequestHash, finishByDefault, type DraftRequest, type ExportRequest } from '#contracts';
import { printPattern } from '#pipeline';
import { renderPdf } from '#render';
import { fromBytes, pdfOptions, type Deliverable } from './deliverable.js';

/** What a print takes, known before it is rendered and long before anybody prints it. */
export interface PrintPlan {
  readonly pages: number;
  /** Of one page; of the longest where a roll is cut to length. */
  readonly pageWidthMm: number;
  readonly pageHeightMm: number;
}

export type PrintMade =
  | { readonly plan: PrintPlan; readonly file: Deliverable }
  | { readonly refusal: { readonly code: string; readonly message: string } };

/**
 * A finished draft on another paper, or with other layers, as one PDF at true size.
 *
 * Shape   `onPlan` is called once, before the pages are rendered. The same draft, engine and request give the same
 *         bytes. A draft that was made without cut pieces is finished by the trade's defaults.
 * Errors  none for requests that came through the door; a throw is a bug of the engine.
 * Cost    0.2 to 1 s; nothing else runs in this thread meanwhile.
 */
export async function producePrint(
  request: DraftRequest,
  engine: string,
  { paper, layers }: ExportRequest,
  onPlan: (plan: PrintPlan) => void,
): Promise<PrintMade> {
  const order = { ...request, finish: request.finish ?? finishByDefault() };
  const provenance = { engine, requestHash: draftRequestHash(request) };
  const printed = printPattern(order, provenance, { paper, layers });
  if ('refusal' in printed) {
    const { code, message } = printed.refusal;
    return { refusal: { code, message } };
  }
  const { sheets } = printed;
  const plan: PrintPlan = {
    pages: sheets.length,
    pageWidthMm: sheets[0].widthMm,
    pageHeightMm: Math.max(...sheets.map(({ heightMm }) => heightMm)),
  };
  onPlan(plan);
  const bytes = await renderPdf(sheets, pdfOptions(request, engine));
  return { plan, file: fromBytes(fileNameOf(paper), bytes) };
}

const TILED = ['a4', 'letter', 'a3', 'tabloid', 'a4-letter'];

/** As the draft's own outputs are called. */
function fileNameOf(paper: ExportRequest['paper']): string {
  return TILED.includes(paper) ? `tiles-${paper}.pdf` : `sheet-${paper}.pdf`;
}
