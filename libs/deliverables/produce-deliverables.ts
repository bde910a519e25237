import { draftRequestHash, draftRequestText, type DraftRequest } from '#contracts';
import { writeZip } from '#interchange';
import type { Finding } from '#pattern';
import { beginDraft, type DraftOutcome } from '#pipeline';
import { renderPdf, renderSheetPng } from '#render';
import { fromBytes, fromText, pdfOptions, type Deliverable } from './deliverable.js';
import { MANIFEST_NAME, manifestText } from './manifest.js';

export interface Deliverables {
  /** `request.json` first, `manifest.json` last. */
  readonly files: readonly Deliverable[];
  readonly findings: readonly Finding[];
  /** `stopped` when any finding is a stop: the files are there to be looked at, not to be cut from. */
  readonly answer: DraftOutcome['answer'];
  readonly requestHash: string;
}

export interface ProductionStage {
  readonly stage: 'drafting' | 'drawing' | 'packing';
  /** 0..1 of the whole. */
  readonly fraction: number;
}

/** Share of the whole that the geometry takes, and where the pictures end; a guess that only a bar shows. */
const DRAFTED = 0.5;
const DRAWN = 0.9;

/**
 * Everything that a draft request asks for, as the bytes of the draft folder.
 *
 * The command line and the worker both come here, so the same request gives the same manifest whichever way it came
 * in.
 *
 * Shape   request.json, draft.json, truing.json, drawings, prints and cut files as asked, the bundle of all of them,
 *         manifest.json.
 * Errors  none for any request that came through the door; a throw is a bug of the engine.
 * Cost    of processor about 0.3 s with the proof as PNG, 0.5 s with everything, a third of it on another thread.
 */
export async function produceDeliverables(
  request: DraftRequest,
  engine: string,
  onStage: (stage: ProductionStage) => void,
): Promise<Deliverables> {
  onStage({ stage: 'drafting', fraction: 0 });
  const provenance = { engine, requestHash: draftRequestHash(request) };
  const { pictures, bundled, findings, answer, finish } = beginDraft(request, provenance);
  onStage({ stage: 'drawing', fraction: DRAFTED });
  // Pictures are drawn on other threads; the files are written on this one meanwhile, and the prints one at a time.
  const drawing = Promise.all(
    pictures.map(async ({ name, sheet, widthPx }) => fromBytes(name, await renderSheetPng(sheet, widthPx))),
  );
  // Awaited below; should the files throw first, its own failure is not to be a second one.
  drawing.catch(() => undefined);
  // The renderer takes its thread before this one goes on.
  await yielding();
  const { files: texts, prints } = finish();
  const files = [fromText('request.json', draftRequestText(request))];
  for (const { name, text } of texts) files.push(fromText(name, text));
  const drawnPrints: Deliverable[] = [];
  for (const [done, { name, sheets }] of prints.entries()) {
    drawnPrints.push(fromBytes(name, await renderPdf(sheets, pdfOptions(request, engine))));
    // A picture that is done meanwhile is packed beside the next print.
    await yielding();
    onStage({ stage: 'drawing', fraction: DRAFTED + ((DRAWN - DRAFTED) * (done + 1)) / prints.length });
  }
  const drawnPictures = await drawing;
  files.push(...drawnPictures, ...drawnPrints);
  onStage({ stage: 'packing', fraction: DRAWN });
  const manifest = (): Deliverable => fromText(MANIFEST_NAME, manifestText(provenance, files));
  if (bundled) files.push(fromBytes('bundle.zip', writeZip([...files, manifest()], request.dated)));
  files.push(manifest());
  return { files, findings, answer, requestHash: provenance.requestHash };
}

/** Let what waits for this thread have it once. */
function yielding(): Promise<void> {
  return new Promise((resolve) => setImmediate(resolve));
}
