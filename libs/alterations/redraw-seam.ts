import { direction, endDirection, line, opposite, reversed, startDirection, type Point } from '#geometry';
import { edgesOf, seamAtLevel, seamLengthMm, withSeam, type Edge, type EdgeRole, type Piece } from '#pattern';
import { edgeInPlaceOf } from './edge-identity.js';
import { fairCubic } from './fair-cubic.js';
import { done, mm, refused, type Outcome, type Refused } from './outcome.js';
import { cutRun, endOfRun, startOfRun } from './run.js';

/** One stroke of a redrawn seam: straight when it has no tangents, else fair with both. */
export interface Stroke {
  readonly to: Point;
  /** The stroke replaces the old seam up to this level; left out: up to its end. */
  readonly untilLevelMm?: number;
  readonly tangents?: { readonly leaving: Point; readonly arriving: Point };
}

/**
 * Redraw a seam through points with end tangents.
 *
 * Shape     the strokes follow each other from `start`; what the old seam has beyond the last stroke's level stays.
 *           A stroke over one old edge keeps its id, one over several is a new edge that names them. Parts of one
 *           edge share its id until `settleIds`. Neighbouring seams are not touched: where an end of the seam moves,
 *           the caller redraws the neighbour or calls `closedUp`.
 * Accuracy  `toleranceMm` for the lengths in the record.
 * Errors    refusal SEAM_MISSES_LEVEL.
 */
export function redrawSeam(
  piece: Piece,
  role: EdgeRole,
  start: Point,
  strokes: readonly Stroke[],
  toleranceMm: number,
): Outcome<Piece> {
  const drawn: Edge[] = [];
  let rest = edgesOf(piece, role);
  let from = start;
  for (const stroke of strokes) {
    const cut = cutAt(piece, role, rest, stroke.untilLevelMm);
    if ('state' in cut) return cut;
    drawn.push(edgeInPlaceOf(role, curveOf(from, stroke), cut.head));
    rest = cut.tail;
    from = stroke.to;
  }
  const redrawn = withSeam(piece, role, [...drawn, ...rest]);
  return done(redrawn, [seamRecord('redraw seam', piece, redrawn, role, toleranceMm)]);
}

function curveOf(from: Point, { to, tangents }: Stroke): Edge['curve'] {
  return tangents === undefined
    ? line(from, to)
    : fairCubic(from, tangents.leaving, to, tangents.arriving).curve;
}

function cutAt(
  piece: Piece,
  role: EdgeRole,
  run: readonly Edge[],
  levelMm: number | undefined,
): { readonly head: Edge[]; readonly tail: Edge[] } | Refused {
  if (levelMm === undefined) return { head: [...run], tail: [] };
  const station = run.length === 0 ? undefined : seamAtLevel({ ...piece, edges: run }, role, levelMm);
  if (station === undefined) return seamMissesLevel(piece, role, levelMm);
  const [head, tail] = cutRun(run, station);
  return { head: head.length === 0 ? run.slice(0, 1) : head, tail };
}

export function seamMissesLevel(piece: Piece, role: EdgeRole, levelMm: number): Refused {
  return refused({
    code: 'SEAM_MISSES_LEVEL',
    message: `The ${piece.role} ${role} does not reach the level at ${mm(levelMm)}.`,
    action: `Lengthen the ${role} of the block to that level, or move the level.`,
    place: { piece: piece.role, part: role },
    numbers: { levelMm },
  });
}

/** The record of a seam that changed its length. */
export function seamRecord(
  operation: string,
  before: Piece,
  after: Piece,
  role: EdgeRole,
  toleranceMm: number,
): {
  operation: string;
  piece: Piece['role'];
  part: string;
  byMm: number;
  beforeMm: number;
  afterMm: number;
} {
  const beforeMm = seamLengthMm(before, role, toleranceMm);
  const afterMm = seamLengthMm(after, role, toleranceMm);
  return { operation, piece: before.role, part: role, byMm: afterMm - beforeMm, beforeMm, afterMm };
}

/**
 * Straighten the outseam from the hem to a level and join it fairly to the hip.
 *
 * Why       joined at the crotch level alone, the straight line would leave a kink of up to 14 degrees; so the part
 *           from there to the hip is redrawn too, with the old seam's tangent at the hip.
 * Shape     a straight edge from the hem point to the seam at `straightToMm`, a fair one from there to the hip, the
 *           rest as it was. The hip is the joint nearest the level, within `SHORTEST_EDGE_MM`, else the seam is
 *           cut there.
 * Errors    refusal SEAM_MISSES_LEVEL.
 */
export function straightenSeam(
  piece: Piece,
  straightToMm: number,
  fairToMm: number,
  toleranceMm: number,
): Outcome<Piece> {
  const run = edgesOf(piece, 'outseam');
  const hip = seamAtLevel(piece, 'outseam', fairToMm);
  if (hip === undefined) return seamMissesLevel(piece, 'outseam', fairToMm);
  const [toHip, above] = cutRun(run, hip);
  const low = seamAtLevel({ ...piece, edges: toHip }, 'outseam', straightToMm);
  if (low === undefined) return seamMissesLevel(piece, 'outseam', straightToMm);
  const [toLow, between] = cutRun(toHip, low);
  const start = startOfRun(run);
  const hipPoint = endOfRun(toHip);
  const lowPoint = low.point;
  // The curve is drawn from the hip downwards: its arms are shared out from the end whose tangent is kept.
  const down = fairCubic(hipPoint, hipDirection(toHip, above), lowPoint, direction(lowPoint, start));
  const straightened = withSeam(piece, 'outseam', [
    edgeInPlaceOf('outseam', line(start, lowPoint), toLow.length === 0 ? run.slice(0, 1) : toLow),
    edgeInPlaceOf('outseam', reversed(down.curve), between.length === 0 ? toHip.slice(-1) : between),
    ...above,
  ]);
  return done(straightened, [seamRecord('straighten seam', piece, straightened, 'outseam', toleranceMm)]);
}

function hipDirection(below: readonly Edge[], above: readonly Edge[]): Point {
  if (above.length > 0) return opposite(startDirection(above[0].curve));
  return opposite(endDirection(below[below.length - 1].curve));
}
