import type { Point } from '#geometry';
import type { CutPiece } from '#finishing';
import type { Corner, MarkerPiece } from '#marker';
import type { ClothToCut } from './laying-order.js';
import { outwardOutline } from './outward-outline.js';

/**
 * Corners of a laid outline stand outside the cut line by at most this; it adds 0.02 % to the area of a front. With 0.1 mm
 * a front keeps 100 corners instead of 60 and the search makes half as many moves.
 */
export const OUTLINE_TOLERANCE_MM = 0.3;

const TURNS_USUAL = [0, 180];

/** A cut piece as the marker lays it: grain along +x, corners thinned outwards. */
export function layPiece(piece: CutPiece, id: string, cloth: ClothToCut): MarkerPiece {
  const onGrain = grainFrame(piece);
  const outline = outwardOutline(
    piece.cut.map(({ at }) => onGrain(at)),
    OUTLINE_TOLERANCE_MM,
  );
  const match = matchedPoint(piece);
  const isMatched = (cloth.repeatAlongMm ?? 0) > 0 || (cloth.repeatAcrossMm ?? 0) > 0;
  return {
    id,
    outline: outline.map(cornerOf),
    turns: cloth.turnsDegrees ?? TURNS_USUAL,
    ...(cloth.tiltDegrees === undefined ? {} : { tilt: cloth.tiltDegrees }),
    ...(match === undefined || !isMatched ? {} : { match: cornerOf(onGrain(match)) }),
  };
}

/** From the piece's own frame to the one it is laid in: about the origin, the grain arrow to +x. */
export function grainFrame({ grain: [from, to] }: CutPiece): (p: Point) => Point {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  // Most grains stand upright, where the turn is exact.
  const [cos, sin] = [(to.x - from.x) / length, (to.y - from.y) / length];
  return ({ x, y }) => ({ x: x * cos + y * sin, y: y * cos - x * sin });
}

/**
 * The point that must meet the repeat: where crease and floor cross, the origin that front and back share.
 *
 * Height on the leg is the same number on both, so stripes that meet there meet along inseam and outseam. Pieces
 * without a crease, bands and facings, are laid free.
 */
export function matchedPoint({ lines }: CutPiece): Point | undefined {
  return lines.some(({ role }) => role === 'crease') ? { x: 0, y: 0 } : undefined;
}

function cornerOf({ x, y }: Point): Corner {
  return [x, y];
}
