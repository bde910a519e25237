import {
  along,
  crossingsWithLine,
  directionAt,
  endOf,
  leftOf,
  line,
  opposite,
  parameterAtLength,
  pointAt,
  ringArea,
  startOf,
  type Curve,
  type Point,
} from '#geometry';
import {
  edgeById,
  edgesOf,
  outlineOf,
  seamAtLevel,
  type EdgeRole,
  type Levels,
  type LineRole,
  type Notch,
  type Piece,
} from '#pattern';

/** Finer than a drawn line, coarser than the pattern: where a notch stands on paper. */
const NOTCH_TOLERANCE_MM = 0.02;

/** The outline without its darts, and the dart legs. */
export function seamCurves(piece: Piece): Curve[] {
  return piece.edges.filter((edge) => edge.role !== 'dart').map((edge) => edge.curve);
}

export function dartCurves(piece: Piece): Curve[] {
  return edgesOf(piece, 'dart').map((edge) => edge.curve);
}

export function linesOf(piece: Piece, roles: readonly LineRole[]): Curve[] {
  return piece.lines.filter((l) => roles.includes(l.role)).flatMap((l) => l.curves);
}

/** The part of a level inside the outline, from its leftmost to its rightmost crossing. */
export function chordAtLevel(piece: Piece, levelMm: number): [outer: Point, inner: Point] | undefined {
  return chord(piece, { x: 0, y: levelMm }, { x: 1, y: 0 }, (p) => p.x);
}

/** The part of the crease line, x = 0, inside the outline. */
export function creaseOf(piece: Piece): [low: Point, high: Point] | undefined {
  return chord(piece, { x: 0, y: 0 }, { x: 0, y: 1 }, (p) => p.y);
}

function chord(
  piece: Piece,
  origin: Point,
  towards: Point,
  along: (p: Point) => number,
): [Point, Point] | undefined {
  const points = [...outlineCrossings(piece, origin, towards)].sort((p, q) => along(p) - along(q));
  return points.length < 2 ? undefined : [points[0], points[points.length - 1]];
}

function outlineCrossings(piece: Piece, origin: Point, towards: Point): Point[] {
  return outlineOf(piece).flatMap((curve) => {
    const crossings = crossingsWithLine(curve, origin, towards).map((t) => pointAt(curve, t));
    // A seam that begins on the level may miss it by a rounding; its end point is the crossing then.
    const ends = [startOf(curve), endOf(curve)].filter(
      (p) => Math.abs((p.x - origin.x) * towards.y - (p.y - origin.y) * towards.x) < 1e-3,
    );
    return [...crossings, ...ends];
  });
}

/** Where the grain arrow stands: the piece's own grain line, else on the crease over nearly half its length. */
export function grainOf(piece: Piece): [Point, Point] | undefined {
  const [own] = linesOf(piece, ['grain']);
  if (own !== undefined) return [startOf(own), endOf(own)];
  const crease = creaseOf(piece);
  if (crease === undefined) return undefined;
  const [low, high] = crease;
  const at = (share: number): Point => ({ x: 0, y: low.y + share * (high.y - low.y) });
  return [at(0.12), at(0.52)];
}

/** A slit is a line into the piece, a v two lines with their point inside. `depthMm` is measured from the seam line. */
export function notchCurves(piece: Piece, notch: Notch, depthMm: number): Curve[] {
  const { curve } = edgeById(piece, notch.edgeId);
  const t = parameterAtLength(curve, notch.fromStartMm, NOTCH_TOLERANCE_MM);
  const foot = pointAt(curve, t);
  const onward = directionAt(curve, t);
  const inward = ringArea(outlineOf(piece)) > 0 ? leftOf(onward) : opposite(leftOf(onward));
  const tip = along(foot, inward, depthMm);
  if (notch.kind === 'slit') return [line(foot, tip)];
  const half = depthMm * 0.45;
  return [line(along(foot, onward, -half), tip), line(tip, along(foot, onward, half))];
}

/** The points of a piece that a cutter follows through an alteration. */
export const FOLLOWED_POINTS = [
  'fork',
  'centre waist',
  'side waist',
  'hem inseam',
  'knee inseam',
  'knee outseam',
] as const;
export type FollowedPoint = (typeof FOLLOWED_POINTS)[number];

/** Unlike `landmarksOf` it leaves out what the piece does not have: a sheet shows unsound pieces too. */
export function followedPoints(piece: Piece, levels: Levels): ReadonlyMap<FollowedPoint, Point> {
  const first = (role: EdgeRole): Point | undefined => edgesOf(piece, role).map((e) => startOf(e.curve))[0];
  const last = (role: EdgeRole): Point | undefined =>
    edgesOf(piece, role)
      .map((e) => endOf(e.curve))
      .at(-1);
  const points: Record<FollowedPoint, Point | undefined> = {
    fork: last('rise'),
    'centre waist': first('rise'),
    'side waist': last('outseam'),
    'hem inseam': last('inseam'),
    'knee inseam': seamAtLevel(piece, 'inseam', levels.knee)?.point,
    'knee outseam': seamAtLevel(piece, 'outseam', levels.knee)?.point,
  };
  return new Map(
    FOLLOWED_POINTS.flatMap((name) => (points[name] === undefined ? [] : [[name, points[name]]])),
  );
}
