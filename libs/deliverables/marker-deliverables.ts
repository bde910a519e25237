import { markerFiles, type MarkerOutput, type MarkerToWrite } from '#laying';
import type { Provenance } from '#pipeline';
import { renderPdf } from '#render';
import { fromBytes, fromText, type Deliverable } from './deliverable.js';
import { MANIFEST_NAME, manifestText } from './manifest.js';

export interface MarkerFolder {
  /** Title of the PDFs. */
  readonly reference: string;
  /** What `marker.json` holds. */
  readonly json: unknown;
  readonly markers: readonly MarkerToWrite[];
  readonly outputs: readonly MarkerOutput[];
  readonly provenance: Provenance;
  /** YYYY-MM-DD: the only date that files carry. */
  readonly dated?: string;
}

/**
 * The folder of one or several markers as bytes: marker.json, the drawings and cut files asked for, manifest.json last.
 *
 * The same markers give the same bytes. Cost: about 2 s for nine trousers with everything; PDFs hold the thread meanwhile.
 */
export async function markerDeliverables(folder: MarkerFolder): Promise<Deliverable[]> {
  const { reference, json, markers, outputs, provenance, dated } = folder;
  const when = dated === undefined ? {} : { dated };
  const { files: texts, prints } = markerFiles(markers, outputs, { engine: provenance.engine, ...when });
  const files = [
    fromText('marker.json', `${JSON.stringify(json, undefined, 1)}\n`),
    ...texts.map(({ name, text }) => fromText(name, text)),
  ];
  for (const { name, sheets } of prints) {
    const options = { title: `Marker ${reference}`, creator: provenance.engine, ...when };
    files.push(fromBytes(name, await renderPdf(sheets, options)));
  }
  return [...files, fromText(MANIFEST_NAME, manifestText(provenance, files))];
}
