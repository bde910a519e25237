import type { Corner, MarkerRequest } from './request.js';

/** What a shop asks of a marker. Lengths in the unit of the request, areas in its square. */
export interface MarkerFigures {
  readonly length: number;
  /** Area of the pieces over width x length, 0..1. */
  readonly utilisation: number;
  readonly pieceArea: number;
  /** All cut lines together: what the knife travels. */
  readonly perimeter: number;
  readonly lengthPerGarment: number;
  /** No marker is shorter than either: pieces' area over the usable width, and the longest piece in its shortest position. */
  readonly lowerBoundByArea: number;
  readonly lowerBoundByPiece: number;
  /** The larger of the two. */
  readonly lowerBound: number;
  /** What leaves the roll: the length and the end allowance. */
  readonly clothLength: number;
  /** Price of `clothLength`, millimetres taken for the unit; undefined without a price. */
  readonly cost: number | undefined;
}

/** A marker the shop laid before, for as many garments. */
export interface PreviousMarker {
  readonly length: number;
  readonly garments: number;
}

/** A marker against one before it. Positive is cloth saved. */
export interface MarkerComparison {
  readonly previousLengthPerGarment: number;
  readonly savedPerGarment: number;
  /** Of the earlier length. */
  readonly savedPercent: number;
  /** Over the whole marker. */
  readonly saved: number;
  /** Price of `saved`; undefined without a price. */
  readonly savedCost: number | undefined;
}

/** Compare by length per garment, so that the earlier marker may have held more or fewer. */
export function comparisonWith(
  previous: PreviousMarker,
  { cloth, garments }: MarkerRequest,
  { lengthPerGarment }: MarkerFigures,
): MarkerComparison {
  const before = previous.length / previous.garments;
  const savedPerGarment = before - lengthPerGarment;
  const saved = savedPerGarment * garments.length;
  return {
    previousLengthPerGarment: before,
    savedPerGarment,
    savedPercent: (100 * savedPerGarment) / before,
    saved,
    savedCost: cloth.pricePerMetre === undefined ? undefined : (cloth.pricePerMetre * saved) / 1000,
  };
}

export function figuresOf(request: MarkerRequest, length: number): MarkerFigures {
  const { cloth, pieces, garments } = request;
  const counts = new Map<string | number, number>();
  for (const { piece, plain, mirrored = 0 } of garments.flatMap((garment) => garment.pieces)) {
    counts.set(piece, (counts.get(piece) ?? 0) + plain + mirrored);
  }
  const laid = pieces.filter((piece) => (counts.get(piece.id) ?? 0) > 0);
  const sumOver = (of: (outline: readonly Corner[]) => number): number =>
    laid.reduce((sum, piece) => sum + (counts.get(piece.id) ?? 0) * of(piece.outline), 0);
  const pieceArea = sumOver(outlineArea);
  const ends = 2 * (cloth.endMargin ?? 0);
  const usable = cloth.width - 2 * (cloth.selvedge ?? 0);
  const longest = laid.reduce(
    (most, piece) =>
      Math.max(
        most,
        Math.min(...piece.turns.map((turn) => extentAlong(piece.outline, turn, piece.tilt ?? 0))),
      ),
    0,
  );
  const byArea = ends + pieceArea / usable;
  const byPiece = ends + longest;
  const clothLength = length + (cloth.endAllowance ?? 0);
  return {
    length,
    utilisation: pieceArea / (cloth.width * length),
    pieceArea,
    perimeter: sumOver(outlinePerimeter),
    lengthPerGarment: length / garments.length,
    lowerBoundByArea: byArea,
    lowerBoundByPiece: byPiece,
    lowerBound: Math.max(byArea, byPiece),
    clothLength,
    cost: cloth.pricePerMetre === undefined ? undefined : (cloth.pricePerMetre * clothLength) / 1000,
  };
}

function outlineArea(outline: readonly Corner[]): number {
  const twice = outline.reduce((sum, [x, y], i) => {
    const [u, v] = outline[(i + 1) % outline.length];
    return sum + x * v - u * y;
  }, 0);
  return Math.abs(twice) / 2;
}

function outlinePerimeter(outline: readonly Corner[]): number {
  return outline.reduce((sum, [x, y], i) => {
    const [u, v] = outline[(i + 1) % outline.length];
    return sum + Math.hypot(u - x, v - y);
  }, 0);
}

// With a tilt the extent may be less than at the turn itself by at most the share the cosine takes away.
function extentAlong(outline: readonly Corner[], turn: number, tilt: number): number {
  const extents = [0, -tilt, tilt].map((lean) => {
    const angle = ((turn + lean) * Math.PI) / 180;
    const xs = outline.map(([x, y]) => x * Math.cos(angle) - y * Math.sin(angle));
    return Math.max(...xs) - Math.min(...xs);
  });
  return Math.min(...extents);
}
