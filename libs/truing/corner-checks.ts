import {
  curveLength,
  DEG,
  opposite,
  quadratureLength,
  reversed,
  startDirection,
  startOf,
  wayOverReach,
  type Curve,
  type Point,
} from '#geometry';
import {
  curvesOf,
  interiorAngleRad,
  PatternError,
  pieceOf,
  type Block,
  type EdgeRole,
  type Piece,
  type PieceRole,
} from '#pattern';
import { closeDarts } from './close-darts.js';
import type { CornerName } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

interface Corner {
  readonly pieces: readonly PieceRole[];
  /** The outline arrives at the corner along `into` and leaves it along `outOf`. */
  readonly into: EdgeRole;
  readonly outOf: EdgeRole;
  readonly targetDeg: number;
}

export const CORNERS: Readonly<Record<CornerName, Corner>> = {
  fork: { pieces: ['front', 'back'], into: 'rise', outOf: 'inseam', targetDeg: 180 },
  sideWaist: { pieces: ['front', 'back'], into: 'outseam', outOf: 'waist', targetDeg: 180 },
  sideHem: { pieces: ['front', 'back'], into: 'hem', outOf: 'outseam', targetDeg: 180 },
  inseamHem: { pieces: ['front', 'back'], into: 'inseam', outOf: 'hem', targetDeg: 180 },
  centreFrontWaist: { pieces: ['front'], into: 'waist', outOf: 'rise', targetDeg: 90 },
  centreBackWaist: { pieces: ['back'], into: 'waist', outOf: 'rise', targetDeg: 90 },
};

export interface MeasuredCorner {
  readonly at: CornerName;
  readonly anglesDeg: readonly number[];
  readonly sumDeg: number;
  readonly deviationDeg: number;
  readonly allowedDeg: number;
  /** Only at a centre corner. */
  readonly overReachDeg?: number;
  readonly within: boolean;
}

/**
 * The angle a corner has once it is sewn: both pieces together at a seam, one piece against its mirror at a centre.
 *
 * Two right tangents are not yet a square corner: a handle of a tenth of a millimetre can hide any angle. So a centre
 * corner has to be square twice, at its point and as its first ten millimetres show it.
 *
 * Accuracy  exact at the point. An edge shorter than the shortest that is written has no say: its direction is
 *           that of its last decimals.
 * Errors    PatternError SEAM_MISSING.
 */
export function measureCorner(block: Block, at: CornerName, rules: TruingRules): MeasuredCorner {
  const { pieces, targetDeg } = CORNERS[at];
  const arms = pieces.map((role) => armsOf(pieceOf(block, role), at));
  const anglesDeg = arms.map((pair) => angleDeg(pair, rules.outline.shortEdgeMm));
  const sumDeg = anglesDeg.reduce((total, angle) => total + angle, 0);
  const deviationDeg = sumDeg - targetDeg;
  if (pieces.length === 2) {
    const allowedDeg = rules.cornerSumDeg;
    return { at, anglesDeg, sumDeg, deviationDeg, allowedDeg, within: Math.abs(deviationDeg) <= allowedDeg };
  }
  const allowedDeg = rules.squareDeg;
  const overReachDeg = angleOverReachDeg(arms[0], rules.squareReachMm);
  const within = Math.max(Math.abs(deviationDeg), Math.abs(overReachDeg - targetDeg)) <= allowedDeg;
  return { at, anglesDeg, sumDeg, deviationDeg, allowedDeg, overReachDeg, within };
}

/** Where the corner lies on the first of its pieces. */
export function cornerPoint(block: Block, at: CornerName): Point {
  const { pieces, outOf } = CORNERS[at];
  const [first] = curvesOf(pieceOf(block, pieces[0]), outOf);
  return startOf(first);
}

/** The two seams of a corner, each travelled away from it. */
interface Arms {
  readonly back: readonly Curve[];
  readonly on: readonly Curve[];
}

function armsOf(piece: Piece, at: CornerName): Arms {
  const { into, outOf } = CORNERS[at];
  const closed = closeDarts(piece);
  const seam = (role: EdgeRole): readonly Curve[] => {
    const curves = role === 'waist' ? closed.waist.map((part) => part.curve) : curvesOf(piece, role);
    if (curves.length === 0) throw new PatternError('SEAM_MISSING', { piece: piece.role, role });
    return curves;
  };
  const on = seam(outOf);
  return {
    back: [...seam(into)].reverse().map(reversed),
    on: into === 'waist' ? on.map(closed.carry) : on,
  };
}

function angleDeg({ back, on }: Arms, shortEdgeMm: number): number {
  return interiorAngleRad(opposite(leaving(back, shortEdgeMm)), leaving(on, shortEdgeMm)) / DEG;
}

function leaving(seam: readonly Curve[], shortEdgeMm: number): Point {
  // Whether an edge of just a millimetre counts as one does not matter to a tenth of it.
  const longEnough = seam.find((curve) => curveLength(curve, shortEdgeMm / 10) >= shortEdgeMm);
  return startDirection(longEnough ?? longest(seam));
}

function longest(seam: readonly Curve[]): Curve {
  return seam.reduce((best, curve) => (quadratureLength(curve) > quadratureLength(best) ? curve : best));
}

function angleOverReachDeg({ back, on }: Arms, reachMm: number): number {
  return interiorAngleRad(opposite(wayOverReach(back, reachMm)), wayOverReach(on, reachMm)) / DEG;
}
