import {
  along,
  cubic,
  distance,
  endDirection,
  endOf,
  leftOf,
  opposite,
  quadratureLength,
  startDirection,
  startOf,
  type CubicBezier,
} from '#geometry';
import { edgesOf, PatternError, withSeam, type Block, type Edge, type Notch, type Piece } from '#pattern';

/** Handles of a third of the chord draw the flattest cubic between two directions. */
const HANDLE_SHARE = 1 / 3;

/**
 * The hem of both pieces drawn square to both seams, its ends kept.
 *
 * Sewn together, the hem then runs on without a corner over each seam. On a tapered leg it sags a little in the
 * middle, on a flared one it rises.
 *
 * Shape     one cubic hem edge a piece; notches of the hem keep their share of its length.
 * Accuracy  both corners are right angles to rounding.
 * Errors    PatternError SEAM_MISSING for a piece without inseam, hem or outseam.
 */
export function shapeHems(block: Block): Block {
  return { ...block, front: withShapedHem(block.front), back: withShapedHem(block.back) };
}

function withShapedHem(piece: Piece): Piece {
  const inseam = edgesOf(piece, 'inseam').at(-1);
  const outseam = edgesOf(piece, 'outseam').at(0);
  const hem = edgesOf(piece, 'hem');
  if (inseam === undefined || outseam === undefined || hem.length === 0)
    throw new PatternError('SEAM_MISSING', { piece: piece.role, roles: ['inseam', 'hem', 'outseam'] });
  const from = endOf(inseam.curve);
  const to = startOf(outseam.curve);
  const reach = distance(from, to) * HANDLE_SHARE;
  // Clockwise, the outline turns right from the inseam into the hem and from the hem into the outseam.
  const first = along(from, opposite(leftOf(endDirection(inseam.curve))), reach);
  const second = along(to, leftOf(startDirection(outseam.curve)), -reach);
  const shaped = cubic(from, first, second, to);
  const edge: Edge =
    hem.length === 1
      ? { ...hem[0], curve: shaped }
      : { id: `${hem[0].id}-shaped`, role: 'hem', curve: shaped, from: hem.map(({ id }) => id) };
  return { ...withSeam(piece, 'hem', [edge]), notches: carriedNotches(piece, hem, edge.id, shaped) };
}

function carriedNotches(
  piece: Piece,
  hem: readonly Edge[],
  edgeId: string,
  shaped: CubicBezier,
): readonly Notch[] {
  const lengths = hem.map(({ curve }) => quadratureLength(curve));
  const oldMm = lengths.reduce((sum, lengthMm) => sum + lengthMm, 0);
  const newMm = quadratureLength(shaped);
  return piece.notches.map((notch) => {
    const index = hem.findIndex(({ id }) => id === notch.edgeId);
    if (index < 0) return notch;
    const beforeMm = lengths.slice(0, index).reduce((sum, lengthMm) => sum + lengthMm, 0);
    return { ...notch, edgeId, fromStartMm: ((beforeMm + notch.fromStartMm) / oldMm) * newMm };
  });
}
