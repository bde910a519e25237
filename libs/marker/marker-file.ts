import type { Marker } from './engine.js';
import type { MarkerPiece, MarkerRequest, Placement } from './request.js';
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

/** The corners of a piece as it lies on the cloth. */
export function outlineOnCloth(
  { outline }: MarkerPiece,
  { turn, mirrored, x, y }: Placement,
): { x: number; y: number }[] {
  const angle = (turn * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return outline.map(([px, py]) => {
    const across = mirrored ? -px : px;
    return { x: x + across * cos - py * sin, y: y + across * sin + py * cos };
  });
}
