import {
  add,
  cross,
  distance,
  dot,
  endOf,
  mapCurve,
  startOf,
  turnAbout,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { pleatsOf, type Edge, type Piece } from '#pattern';

export interface ClosedWaist {
  /** The waist from side to centre as it is sewn, the side held where it lies; edges without length are left out. */
  readonly waist: readonly ClosedWaistPart[];
  /** Carries what lies on the centre side of all darts, the rise, along with the folding. */
  readonly carry: (curve: Curve) => Curve;
}

export interface ClosedWaistPart {
  /** As it lies in the open piece. */
  readonly edge: Edge;
  /** As it lies once the darts are closed. */
  readonly curve: Curve;
  /** How many darts lie between the side and this part. */
  readonly dartsBefore: number;
}

/**
 * The waist as it is sewn: each dart turned shut about its point, each pleat laid on itself.
 *
 * Lengths and the corners of one part do not change by folding; what changes is how the parts meet, and where a
 * corner's ten millimetres reach past a dart.
 */
export function closeDarts(piece: Piece): ClosedWaist {
  const folds = new Set(pleatsOf(piece).map(({ centreLeg }) => centreLeg));
  let place = (p: Point): Point => p;
  let dartsBefore = 0;
  let sideLeg: Edge | undefined;
  const waist: ClosedWaistPart[] = [];
  for (const edge of piece.edges) {
    if (edge.role === 'waist' && hasLength(edge.curve)) {
      waist.push({ edge, curve: mapCurve(edge.curve, place), dartsBefore });
    } else if (edge.role === 'dart' && sideLeg === undefined) {
      sideLeg = edge;
    } else if (edge.role === 'dart' && sideLeg !== undefined) {
      place = folds.has(edge) ? folding(sideLeg, edge, place) : shutting(sideLeg, edge, place);
      dartsBefore += 1;
      sideLeg = undefined;
    }
  }
  return { waist, carry: (curve) => mapCurve(curve, place) };
}

function hasLength(curve: Curve): boolean {
  const inner = curve.kind === 'line' ? [] : [curve.p1, curve.p2];
  return [...inner, endOf(curve)].some((p) => distance(startOf(curve), p) > 0);
}

/** A pleat is laid on itself: what lies on its centre side moves over, and does not turn. */
function folding(sideLeg: Edge, centreLeg: Edge, place: (p: Point) => Point): (p: Point) => Point {
  const over = way(place(endOf(centreLeg.curve)), place(startOf(sideLeg.curve)));
  return (p) => add(place(p), over);
}

function shutting(sideLeg: Edge, centreLeg: Edge, place: (p: Point) => Point): (p: Point) => Point {
  const apex = place(endOf(sideLeg.curve));
  const side = way(apex, place(startOf(sideLeg.curve)));
  const centre = way(apex, place(endOf(centreLeg.curve)));
  const angleRad = Math.atan2(cross(centre, side), dot(centre, side));
  return (p) => turnAbout(place(p), apex, angleRad);
}
