import type { Marker } from './engine.js';
import type { MarkerRequest } from './request.js';
import type { WholeGarments } from './whole-garments.js';

/**
 * A marker as it is written: a layout of the published form, with each piece's garment by reference, the figures, and
 * which whole garments the cloth takes when it is too short for all.
 */
export function markerFile(request: MarkerRequest, marker: Marker, whole: WholeGarments | undefined): object {
  const { seed, work, figures, fits } = marker;
  const { length, utilisation, ...others } = figures;
  const of = (laid: Marker): object[] =>
    laid.placements.map(({ piece, garment, turn, mirrored, x, y }) => ({
      piece,
      garment: request.garments[garment].reference,
      turn,
      mirrored,
      x,
      y,
    }));
  return {
    seed,
    work,
    length,
    utilisation,
    fits,
    figures: others,
    placements: of(marker),
    ...(whole === undefined
      ? {}
      : {
          wholeGarments: {
            laid: whole.laid,
            left: whole.left,
            ...(whole.marker === undefined
              ? {}
              : { length: whole.marker.figures.length, placements: of(whole.marker) }),
          },
        }),
  };
}
