import { writeSvg } from '#interchange';
import { outlineOnCloth, type Marker, type MarkerPiece, type MarkerRequest } from '#marker';
import { markerSheet, PLEX_WIDTHS } from '#sheets';

/** A marker as SVG, to scale. */
export function markerSvg(
  reference: string,
  request: MarkerRequest,
  { placements, figures }: Marker,
): string {
  const { cloth, garments, pieces } = request;
  const byId = new Map(pieces.map((piece) => [piece.id, piece]));
  const { length, utilisation, lowerBound, cost, perimeter, lengthPerGarment } = figures;
  const facts = [
    `${placements.length} pieces of ${garments.length} garments · cloth ${cloth.width} wide · length ${length.toFixed(1)} · ` +
      `utilisation ${(100 * utilisation).toFixed(2)} %`,
    `${lengthPerGarment.toFixed(1)} a garment · no marker is shorter than ${lowerBound.toFixed(1)} · ` +
      `cut lines ${perimeter.toFixed(0)} in all${cost === undefined ? '' : ` · cost ${cost.toFixed(2)}`}`,
    `nap ${cloth.nap ?? 'free'} · gap ${cloth.gap ?? 0} · selvedge ${cloth.selvedge ?? 0} · end margin ${cloth.endMargin ?? 0} · ` +
      'outlines are cut as given, no allowance is added',
  ];
  const sheet = markerSheet(
    {
      reference,
      cloth: {
        width: cloth.width,
        length,
        selvedge: cloth.selvedge ?? 0,
        endMargin: cloth.endMargin ?? 0,
        repeatAlong: cloth.repeatAlong ?? 0,
        repeatAcross: cloth.repeatAcross ?? 0,
      },
      garments: garments.map((garment) => garment.reference),
      pieces: placements.map((placement) => ({
        name: String(placement.piece),
        garment: placement.garment,
        outline: outlineOnCloth(byId.get(placement.piece) as MarkerPiece, placement),
        grainRad: (placement.turn * Math.PI) / 180 + (placement.mirrored ? Math.PI : 0),
      })),
      facts,
    },
    PLEX_WIDTHS,
  );
  return writeSvg(sheet);
}
