import { createHash } from 'node:crypto';
import { canonicalJson, type Json } from '#contracts';
import { engineVersion, markerDeliverables, type Deliverable } from '#deliverables';
import { MARKER_OUTPUTS, markerFiles, type MarkerToWrite } from '#laying';
import type { Marker, MarkerRequest } from '#marker';

/** A request that was laid, and what its marker is called. */
export interface LaidRequest {
  readonly reference: string;
  readonly request: MarkerRequest;
  readonly marker: Marker;
  /** What `--out` holds; `marker.json` is the same. */
  readonly layout: object;
}

/** A marker as SVG, to scale. */
export function markerDrawing(laid: LaidRequest): string {
  return markerFiles([toWrite(laid)], ['svg'], { engine: engineVersion() }).files[0].text;
}

/** Every file of a marker as bytes. */
export function markerFolder(laid: LaidRequest): Promise<Deliverable[]> {
  const { reference, request, layout } = laid;
  const requestHash = createHash('sha256')
    .update(canonicalJson(request as unknown as Json))
    .digest('hex');
  return markerDeliverables({
    reference,
    json: layout,
    markers: [toWrite(laid)],
    outputs: MARKER_OUTPUTS,
    provenance: { engine: engineVersion(), requestHash },
  });
}

/** Outlines alone: nothing is known of seams, notches or sizes. */
function toWrite({ reference, request, marker }: LaidRequest): MarkerToWrite {
  return { reference, request, marker, cutPieces: new Map(), sizes: request.garments.map(() => undefined) };
}
