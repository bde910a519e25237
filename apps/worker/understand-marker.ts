import { readDraftRequest, readMarkerOrder, type DraftRequest, type MarkerOrder } from '#contracts';
import type { EarlierFile, MarkerJob } from '#deliverables';
import type { DraftId, MarkerId, ShopId } from '#persistence';
import { noLongerFits } from './produce-draft.processor.js';
import type { WorkerParts } from './worker-parts.js';

export type MarkerParts = Pick<WorkerParts, 'database' | 'drafts' | 'markers' | 'files'>;

const MARKER_FILE = 'marker.json';

/** The order with what its drafts were made from; or why it cannot be laid; undefined when it is gone. */
export async function understandMarker(
  parts: MarkerParts,
  shopId: ShopId,
  id: MarkerId,
  engine: string,
): Promise<MarkerJob | { readonly reason: string } | undefined> {
  const { database, drafts, markers } = parts;
  const stored = await markers.find(database.session, shopId, id);
  if (stored === undefined) return undefined;
  const read = readMarkerOrder(stored.request);
  if (!read.ok) return { reason: noLongerFits(read.problems) };
  const requests: DraftRequest[] = [];
  for (const { draftId } of read.value.drafts) {
    const draft = await drafts.find(database.session, shopId, draftId as DraftId);
    const request = await drafts.findRequest(database.session, shopId, draftId as DraftId);
    // Erased, and the marker with it.
    if (draft === undefined || request === undefined) return undefined;
    if (draft.engineVersion !== engine) return { reason: otherEngine(draftId) };
    const understood = readDraftRequest(request);
    if (!understood.ok) return { reason: noLongerFits(understood.problems) };
    requests.push(understood.request);
  }
  const earlier = await earlierFile(parts, shopId, read.value);
  return { order: read.value, drafts: requests, ...(earlier === undefined ? {} : { earlier }) };
}

/** The marker to begin from; undefined where none is asked for or it has been erased since. */
async function earlierFile(
  { database, markers, files }: MarkerParts,
  shopId: ShopId,
  { startFrom }: MarkerOrder,
): Promise<EarlierFile | undefined> {
  if (startFrom === undefined) return undefined;
  const file = await markers.findFile(database.session, shopId, startFrom as MarkerId, MARKER_FILE);
  const opened = file === undefined ? undefined : await files.open(file.sha256);
  if (file === undefined || opened === undefined) return undefined;
  const chunks: Buffer[] = [];
  for await (const chunk of opened.stream) chunks.push(chunk as Buffer);
  return { json: JSON.parse(Buffer.concat(chunks).toString('utf8')) as unknown, sha256: file.sha256 };
}

function otherEngine(draftId: string): string {
  return `Draft ${draftId} was made by another version of the service; it might come out otherwise. Send it again and lay that.`;
}
