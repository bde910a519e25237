import { line, mapCurve, quadratureLength, type Curve, type Point } from '#geometry';
import {
  edgeById,
  edgesOf,
  sectionEnds,
  type Levels,
  type Notch,
  type Piece,
  type PieceLine,
} from '#pattern';
import type { ReadyPiece } from './stations.js';

/** The drawn lines of a piece carried along: levels to their new height and seams, the crease upright, others with the cloth. */
export function carryLines(
  ready: ReadyPiece,
  outline: Piece,
  levels: Levels,
  amounts: Float64Array,
): PieceLine[] {
  const moved = (p: Point): Point => ready.follow(p, amounts);
  const upright = (p: Point): Point => ({ x: p.x, y: moved(p).y });
  return ready.piece.lines.map(({ role, curves }): PieceLine => {
    if (role === 'hip' || role === 'crotch' || role === 'knee') {
      const ends = sectionEnds(outline, levels[role]);
      return {
        role,
        curves:
          ends === undefined ? curves.map((curve) => mapCurve(curve, moved)) : [levelLine(ends, curves)],
      };
    }
    const move = role === 'crease' || role === 'grain' ? upright : moved;
    return { role, curves: curves.map((curve) => mapCurve(curve, move)) };
  });
}

// Drawn the way it was: from the side inwards or back.
function levelLine([side, inner]: readonly [Point, Point], curves: readonly Curve[]): Curve {
  const first = curves[0].p0;
  const lastCurve = curves[curves.length - 1];
  const end = lastCurve.kind === 'line' ? lastCurve.p1 : lastCurve.p3;
  return first.x <= end.x ? line(side, inner) : line(inner, side);
}

/** How near two notches of one seam lie from the hem to be each other's partner, in mm. */
const PARTNER_MM = 3;

/**
 * The notches on the new seams: each keeps its share of its edge; on inseam and outseam a notch of the back that was
 * matched to one of the front is set at the same distance from the hem as that.
 */
export function carryNotches(
  before: { readonly front: Piece; readonly back: Piece },
  after: { readonly front: Piece; readonly back: Piece },
): { readonly front: Notch[]; readonly back: Notch[] } {
  const front = before.front.notches.map((notch) => scaled(notch, before.front, after.front));
  const back = before.back.notches.map((notch): Notch => {
    const carried = scaled(notch, before.back, after.back);
    const fromHemMm = distanceFromHem(before.back, notch);
    const partner = before.front.notches.findIndex((other) => {
      const same = edgeById(before.front, other.edgeId).role === edgeById(before.back, notch.edgeId).role;
      const otherMm = distanceFromHem(before.front, other);
      return (
        same &&
        fromHemMm !== undefined &&
        otherMm !== undefined &&
        Math.abs(otherMm - fromHemMm) <= PARTNER_MM
      );
    });
    const wantedMm = partner < 0 ? undefined : distanceFromHem(after.front, front[partner]);
    const hereMm = distanceFromHem(after.back, carried);
    if (wantedMm === undefined || hereMm === undefined) return carried;
    // Along the inseam the outline runs towards the hem, along the outseam away from it.
    const sign = edgeById(after.back, carried.edgeId).role === 'inseam' ? -1 : 1;
    const fromStartMm = carried.fromStartMm + sign * (wantedMm - hereMm);
    const edgeMm = quadratureLength(edgeById(after.back, carried.edgeId).curve);
    return fromStartMm >= 0 && fromStartMm <= edgeMm ? { ...carried, fromStartMm } : carried;
  });
  return { front, back };
}

function scaled(notch: Notch, before: Piece, after: Piece): Notch {
  const wasMm = quadratureLength(edgeById(before, notch.edgeId).curve);
  const isMm = quadratureLength(edgeById(after, notch.edgeId).curve);
  return { ...notch, fromStartMm: (notch.fromStartMm * isMm) / wasMm };
}

/** Seam distance from the hem of a notch on inseam or outseam; undefined on any other seam. */
function distanceFromHem(piece: Piece, { edgeId, fromStartMm }: Notch): number | undefined {
  const { role } = edgeById(piece, edgeId);
  if (role !== 'inseam' && role !== 'outseam') return undefined;
  const edges = edgesOf(piece, role);
  const index = edges.findIndex(({ id }) => id === edgeId);
  const sum = (some: typeof edges): number => some.reduce((mm, { curve }) => mm + quadratureLength(curve), 0);
  return role === 'outseam'
    ? sum(edges.slice(0, index)) + fromStartMm
    : sum(edges.slice(index)) - fromStartMm;
}
