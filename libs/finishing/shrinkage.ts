import {
  direction,
  endOf,
  mapCurve,
  parameterAtLength,
  quadratureLength,
  curveLength,
  splitCurve,
  startOf,
  type Point,
} from '#geometry';
import {
  edgeById,
  type AddedPiece,
  type Block,
  type Edge,
  type Levels,
  type Notch,
  type Piece,
} from '#pattern';

/** How much the cloth loses in washing and pressing, as shares of what is cut: 0.03 is 3 percent. */
export interface Shrinkage {
  /** Along the grain. */
  readonly warp: number;
  /** Across the grain. */
  readonly weft: number;
}

/**
 * A block as large as it has to be cut for the finished garment to measure what it should: finished / (1 - s), along
 * the grain by the warp's shrinkage and across it by the weft's.
 *
 * Shape     seam lines, drawn lines, levels and the band grow; a notch stays at its point of the seam, so its seam
 *           distance grows with the seam. Allowances and notch depths are none of this: they are set afterwards.
 * Accuracy  exact for the lines, `toleranceMm` for where a notch lies along its edge.
 * Edges     seams that ran equally long may differ afterwards, since they lie at other angles to the grain: true again.
 *           The band lies along the warp.
 */
export function grownForShrinkage(block: Block, shrinkage: Shrinkage, toleranceMm: number): Block {
  if (shrinkage.warp === 0 && shrinkage.weft === 0) return block;
  const front = grownPiece(block.front, shrinkage, toleranceMm);
  const back = grownPiece(block.back, shrinkage, toleranceMm);
  const levels = grownLevels(block.levels, growthOf(block.front, shrinkage));
  const band =
    block.waistbandMm === undefined ? {} : { waistbandMm: block.waistbandMm / (1 - shrinkage.warp) };
  const added =
    block.added === undefined ? {} : { added: block.added.map((each) => grownAdded(each, shrinkage)) };
  return { ...block, levels, front, back, ...band, ...added };
}

/** Added strips lie along the warp like the band; a diamond lies with its longer diagonal along it. */
function grownAdded(piece: AddedPiece, { warp, weft }: Shrinkage): AddedPiece {
  const widthMm = piece.widthMm / (1 - weft);
  if (piece.shape !== 'diamond') return { ...piece, lengthMm: piece.lengthMm / (1 - warp), widthMm };
  const halfLongMm = Math.sqrt(piece.lengthMm ** 2 - (piece.widthMm / 2) ** 2) / (1 - warp);
  return { ...piece, lengthMm: Math.sqrt(halfLongMm ** 2 + (widthMm / 2) ** 2), widthMm };
}

type Growth = (p: Point) => Point;

/** The grain of a piece: its own grain line, else parallel to the crease. */
export function grainDirection(piece: Piece): Point {
  const own = piece.lines.find(({ role }) => role === 'grain')?.curves;
  if (own === undefined || own.length === 0) return { x: 0, y: 1 };
  return direction(startOf(own[0]), endOf(own[own.length - 1]));
}

function growthOf(piece: Piece, { warp, weft }: Shrinkage): Growth {
  const grain = grainDirection(piece);
  const along = 1 / (1 - warp);
  const across = 1 / (1 - weft);
  return ({ x, y }) => {
    const on = x * grain.x + y * grain.y;
    const off = x * grain.y - y * grain.x;
    return {
      x: along * on * grain.x + across * off * grain.y,
      y: along * on * grain.y - across * off * grain.x,
    };
  };
}

function grownPiece(piece: Piece, shrinkage: Shrinkage, toleranceMm: number): Piece {
  const grow = growthOf(piece, shrinkage);
  const edges = piece.edges.map((edge): Edge => ({ ...edge, curve: mapCurve(edge.curve, grow) }));
  const lines = piece.lines.map(({ role, curves }) => ({
    role,
    curves: curves.map((curve) => mapCurve(curve, grow)),
  }));
  const grown: Piece = { ...piece, edges, lines };
  const notches = piece.notches.map((notch) => carriedNotch(notch, piece, grown, toleranceMm));
  return { ...grown, notches };
}

// The parameter of a curve is kept by the growth, its length is not.
function carriedNotch(notch: Notch, before: Piece, after: Piece, toleranceMm: number): Notch {
  const { curve } = edgeById(before, notch.edgeId);
  const grown = edgeById(after, notch.edgeId).curve;
  const lengthMm = quadratureLength(curve);
  // A notch set at the end of its edge may lie past it by the accuracy it was set with.
  if (notch.fromStartMm >= lengthMm)
    return { ...notch, fromStartMm: notch.fromStartMm - lengthMm + quadratureLength(grown) };
  const t = parameterAtLength(curve, notch.fromStartMm, toleranceMm / 4);
  return { ...notch, fromStartMm: curveLength(splitCurve(grown, t)[0], toleranceMm / 4) };
}

function grownLevels(levels: Levels, grow: Growth): Levels {
  const grown = (levelMm: number): number => grow({ x: 0, y: levelMm }).y;
  return {
    hip: grown(levels.hip),
    crotch: grown(levels.crotch),
    knee: grown(levels.knee),
    hem: grown(levels.hem),
  };
}
