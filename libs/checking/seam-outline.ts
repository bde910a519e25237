import {
  angleBetween,
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
import { offRing, type ForeignLine, type ForeignPiece, type ForeignPoint } from '#interchange';
import { fairCurves, type FairCurve } from './fair-curves.js';
import { PointIndex } from './point-index.js';
import { footOnRing } from './ring-reach.js';

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
  /** Its seam line is open, and nothing says how it goes on: `points` are those of the cut line, which no seam is sewn on. */
  readonly isSeamOpen: boolean;
}

/**
 * The seam line of a piece; undefined where it is open or next to nothing.
 *
 * A seam line that is open is closed where its gap is a slip, by leaving out the end that bends it, and along the cut
 * line where both its ends lie on it: a hem that is folded up has no seam of its own. That it is open is said by
 * the checks of outlines.
 */
export function seamOutline(piece: ForeignPiece, curveMm: number): SeamOutline | undefined {
  const seam = seamRing(piece);
  const ring = seam.ring ?? (piece.boundary?.closed === true ? piece.boundary : undefined);
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
    basis: seam.ring === undefined ? 'cut line' : 'sew line',
    isSeamOpen: seam.isOpen,
  };
}

/** A gap up to this is a slip of the drawing. */
const GAP_CLOSED_MM = 1;
const ON_CUT_MM = 0.5;
/** A seam line that goes round less of its piece than this is a line on it, not round it. */
const ROUND_SHARE = 0.5;

/** Whether a seam line goes round its piece, closed or not. */
export function goesRound({ boundary }: ForeignPiece, { points }: ForeignLine): boolean {
  const cutMm2 = boundary?.closed === true ? Math.abs(polygonArea(boundary.points)) : 0;
  return points.length > 2 && Math.abs(polygonArea(points)) >= ROUND_SHARE * cutMm2;
}

function seamRing(piece: ForeignPiece): { readonly ring: ForeignLine | undefined; readonly isOpen: boolean } {
  const { boundary, sewLines } = piece;
  const line = largest(sewLines.filter((each) => each.closed || goesRound(piece, each)));
  if (line === undefined) return { ring: undefined, isOpen: false };
  if (line.closed) return { ring: line, isOpen: false };
  if (gapMm(line) <= GAP_CLOSED_MM) return { ring: withoutLooseEnd(line), isOpen: false };
  return boundary !== undefined && endsAtCut(line, boundary)
    ? { ring: closedAlong(line, boundary.points), isOpen: false }
    : { ring: undefined, isOpen: true };
}

/** Whether a seam line that is open is judged as if it were closed. */
export function isJudgedClosed(line: ForeignLine, boundary: ForeignLine | undefined): boolean {
  return gapMm(line) <= GAP_CLOSED_MM || endsAtCut(line, boundary);
}

function gapMm({ points }: ForeignLine): number {
  return distance(points[0], points[points.length - 1]);
}

function endsAtCut({ points }: ForeignLine, boundary: ForeignLine | undefined): boolean {
  return (
    boundary?.closed === true &&
    Math.max(points.length, boundary.points.length) <= POINTS_MAX &&
    [points[0], points[points.length - 1]].every((end) => offRing(end, boundary.points) <= ON_CUT_MM)
  );
}

/** With the points of the cut line between its ends, the shorter way. */
function closedAlong(line: ForeignLine, cut: readonly ForeignPoint[]): ForeignLine {
  const { points } = line;
  const [from, to] = [points[points.length - 1], points[0]].map((end) => footOnRing(cut, end));
  const count = cut.length;
  const steps =
    from.side === to.side && from.share <= to.share ? 0 : (to.side - from.side + count) % count || count;
  const ahead = Array.from({ length: steps }, (_, k) => cut[(from.side + 1 + k) % count]);
  const behind = Array.from(
    { length: (count - steps) % count },
    (_, k) => cut[(from.side - k + count) % count],
  );
  const lengthMm = (between: readonly Point[]): number =>
    [...between, points[0]].reduce(
      (sum, p, i, all) => sum + distance(i === 0 ? points[points.length - 1] : all[i - 1], p),
      0,
    );
  const between = lengthMm(ahead) <= lengthMm(behind) ? ahead : behind;
  return {
    ...line,
    points: [...points, ...between.filter((p) => points.every((q) => distance(p, q) > ON_CUT_MM))],
  };
}

/** Of two ends that should be one point, the one goes without which the line bends less where it came from. */
function withoutLooseEnd(line: ForeignLine): ForeignLine {
  const { points } = line;
  const count = points.length;
  if (count < 5) return { ...line, points: points.slice(0, -1) };
  const [first, last] = [points[0], points[count - 1]];
  const bend = (from: Point, by: Point, to: Point): number => angleBetween(way(from, by), way(by, to));
  const straighter = (from: Point, by: Point, own: Point, other: Point): number =>
    bend(from, by, own) - bend(from, by, other);
  const isLastLoose =
    straighter(points[count - 3], points[count - 2], last, first) >=
    straighter(points[2], points[1], first, last);
  return { ...line, points: isLastLoose ? points.slice(0, -1) : points.slice(1) };
}

/** Five metres of outline at 1 mm; more points say nothing more, and every one is laid against all others. */
export const POINTS_MAX = 5_000;
const AREA_MM2_MIN = 1;

function largest(lines: readonly ForeignLine[]): ForeignLine | undefined {
  const rings = lines.filter(({ points }) => points.length > 2);
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
