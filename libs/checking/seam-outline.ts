import {
  cross,
  distance,
  dot,
  nearestParameter,
  pointAt,
  polygonArea,
  quadratureLength,
  splitCurve,
  way,
  DEG,
  type Curve,
  type Point,
} from '#geometry';
import type { ForeignLine, ForeignPiece, ForeignPoint } from '#interchange';
import { fairCurves, type FairCurve } from './fair-curves.js';
import { PointIndex } from './point-index.js';

/** The seam line of a piece: points as given, and fair curves through them, both clockwise. */
export interface SeamOutline {
  readonly piece: ForeignPiece;
  readonly points: readonly ForeignPoint[];
  readonly turns: readonly boolean[];
  readonly curves: readonly FairCurve[];
  readonly deviationMm: number;
  readonly removed: number;
  /** `cut line`: the piece has no seam line, and its cut line is judged as if it were one. */
  readonly basis: 'sew line' | 'cut line';
}

/** The seam line of a piece; undefined where it is open or next to nothing. */
export function seamOutline(piece: ForeignPiece, curveMm: number): SeamOutline | undefined {
  const sewn = largestRing(piece.sewLines);
  const ring = sewn ?? (piece.boundary?.closed === true ? piece.boundary : undefined);
  if (ring === undefined || ring.points.length < 3 || ring.points.length > POINTS_MAX) return undefined;
  const points = polygonArea(ring.points) > 0 ? [...ring.points].reverse() : ring.points;
  if (Math.abs(polygonArea(points)) < AREA_MM2_MIN) return undefined;
  const turns = turnsOf(piece, points);
  const { curves, deviationMm, removed } = fairCurves(points, turns, true, curveMm);
  return {
    piece,
    points,
    turns,
    curves,
    deviationMm,
    removed,
    basis: sewn === undefined ? 'cut line' : 'sew line',
  };
}

/** Five metres of outline at 1 mm; more points say nothing more, and every one is laid against all others. */
export const POINTS_MAX = 5_000;
const AREA_MM2_MIN = 1;

function largestRing(lines: readonly ForeignLine[]): ForeignLine | undefined {
  const rings = lines.filter(({ closed, points }) => closed && points.length > 2);
  return rings.length === 0
    ? undefined
    : rings.reduce((best, ring) =>
        Math.abs(polygonArea(ring.points)) > Math.abs(polygonArea(best.points)) ? ring : best,
      );
}

/** Turned by more than this, a vertex is a corner whatever the file says of it. */
const CORNER_DEG = 25;
/** Turned by more than this, and so many times more than its neighbours, a vertex is a corner where the file says nothing. */
const LONE_DEG = 6;
const LONE_RATIO = 2.5;

/** Which vertices of a ring are turn points: those the file names, and what turns too sharply to be a curve. */
export function turnsOf(piece: ForeignPiece, points: readonly Point[]): boolean[] {
  const named = new PointIndex(piece.turnPoints);
  const smooth = new PointIndex(piece.curvePoints);
  const angles = points.map((_, i) => Math.abs(turnDeg(points, i)));
  return points.map((p, i) => {
    if (named.has(p)) return true;
    const near = Math.max(angles[(i + points.length - 1) % points.length], angles[(i + 1) % points.length]);
    const stands = angles[i] > LONE_RATIO * near;
    if (smooth.has(p)) return angles[i] > CORNER_DEG && stands;
    return angles[i] > 2 * CORNER_DEG || (angles[i] > LONE_DEG && stands);
  });
}

/** The turn at a vertex of a ring, positive to the left. */
export function turnDeg(points: readonly Point[], i: number): number {
  const into = way(points[(i + points.length - 1) % points.length], points[i]);
  const out = way(points[i], points[(i + 1) % points.length]);
  return Math.atan2(cross(into, out), dot(into, out)) / DEG;
}

/** The place on a chain of curves that lies nearest to a point. */
export interface Foot {
  /** Which curve of the chain. */
  readonly index: number;
  readonly t: number;
  readonly at: Point;
  readonly apartMm: number;
  /** Along that curve. */
  readonly fromStartMm: number;
}

export function footOn(curves: readonly Curve[], p: Point): Foot {
  let best: Omit<Foot, 'fromStartMm'> = { index: 0, t: 0, at: p, apartMm: Infinity };
  for (const [index, curve] of curves.entries()) {
    const t = nearestParameter(curve, p);
    const at = pointAt(curve, t);
    const apartMm = distance(at, p);
    if (apartMm < best.apartMm) best = { index, t, at, apartMm };
  }
  return {
    ...best,
    fromStartMm: best.apartMm === Infinity ? 0 : quadratureLength(splitCurve(curves[best.index], best.t)[0]),
  };
}
