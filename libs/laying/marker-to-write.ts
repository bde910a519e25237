import type { CutPiece } from '#finishing';
import type { Marker, MarkerComparison, MarkerRequest, Placement } from '#marker';
import { comparisonOf, requestOf, type LaidOrder } from './laid-order.js';
import { pieceOnCloth, plainPiece, sideOf } from './piece-on-cloth.js';
import type { LayingPlan } from './plan-laying.js';

/** A marker and all that its files say of it. */
export interface MarkerToWrite {
  readonly reference: string;
  readonly request: MarkerRequest;
  readonly marker: Marker;
  /** The cut piece behind each piece of the request; one that is missing is drawn by its outline alone. */
  readonly cutPieces: ReadonlyMap<string | number, CutPiece>;
  /** Size of each garment of the request, where the shop has one. */
  readonly sizes: readonly (string | undefined)[];
  readonly clothName?: string;
  readonly rollName?: string;
  readonly comparison?: MarkerComparison;
}

/** The markers of a laid order, in its order. */
export function markersToWrite(plan: LayingPlan, { markers }: LaidOrder): MarkerToWrite[] {
  return markers.map((laid) => {
    const planned = plan.cloths[laid.cloth];
    const comparison = comparisonOf(plan, laid);
    const roll = laid.roll === undefined ? undefined : planned.cloth.rolls?.[laid.roll];
    return {
      reference: plan.order.reference,
      request: requestOf(plan, laid),
      marker: laid.marker,
      cutPieces: planned.cutPieces,
      sizes: laid.garments.map((i) => plan.order.garments[planned.ofOrder[i]].size),
      clothName: planned.cloth.name,
      ...(roll === undefined ? {} : { rollName: roll.name }),
      ...(comparison === undefined ? {} : { comparison }),
    };
  });
}

/** A piece as it lies, and what it is called. */
export interface NamedPiece {
  readonly placement: Placement;
  readonly onCloth: CutPiece;
  /** "Front R". */
  readonly name: string;
  /** The order line, and the size where there is one: "order 1042 · 38". */
  readonly garment: string;
}

/** Every piece of a marker by name, in the order of its placements. */
export function namedPieces({ request, marker, cutPieces, sizes }: MarkerToWrite): NamedPiece[] {
  const plain = new Map(
    request.pieces.map((piece) => [piece.id, plainPiece(piece, quantityOf(request, piece.id))] as const),
  );
  return marker.placements.map((placement) => {
    const piece = (cutPieces.get(placement.piece) ?? plain.get(placement.piece)) as CutPiece;
    const isPlain = !cutPieces.has(placement.piece);
    const side = isPlain ? undefined : sideOf(piece, placement.mirrored);
    const isImage = isPlain && placement.mirrored && piece.quantity.asDrawn > 0;
    const size = sizes[placement.garment];
    return {
      placement,
      onCloth: pieceOnCloth(piece, placement),
      name: [piece.name, ...(side === undefined ? [] : [side]), ...(isImage ? ['mirrored'] : [])].join(' '),
      garment: [request.garments[placement.garment].reference, ...(size === undefined ? [] : [size])].join(
        ' · ',
      ),
    };
  });
}

function quantityOf({ garments }: MarkerRequest, id: string | number): CutPiece['quantity'] {
  const wanted = garments.flatMap(({ pieces }) => pieces).filter(({ piece }) => piece === id);
  return {
    asDrawn: wanted.reduce((sum, { plain }) => sum + plain, 0),
    mirrored: wanted.reduce((sum, { mirrored = 0 }) => sum + mirrored, 0),
  };
}
