import { cubic, line, type CubicBezier, type Curve, type Point } from '#geometry';
import { edgesOf, seamAtLevel, withSeam, type Edge, type Piece } from '#pattern';
import { raised } from './carry-seam-end.js';
import { done, refused, type Outcome, type Refused } from './outcome.js';
import { seamMissesLevel, seamRecord } from './redraw-seam.js';
import { endOfRun, reversedRun, splitRun, startOfRun, withEnd, withStart } from './run.js';

/** How far a seam goes sideways at which height: outwards is away from the crease. */
export interface Shift {
  readonly byMm: number;
  readonly atMm: number;
  /** Nothing moves above it. */
  readonly topMm: number;
  readonly hemMm: number;
  /** How far at the hem; the seam keeps straight what was straight between `atMm` and the hem. */
  readonly hemByMm: number | undefined;
  /** Where no amount at the hem is given: nothing moves below it. */
  readonly bottomMm: number | undefined;
}

/** A height with how far the seam goes there and how fast that changes with height. */
interface Knot {
  readonly yMm: number;
  readonly byMm: number;
  readonly slope: number;
}

/**
 * Shift a leg seam sideways by an amount that depends on the height only.
 *
 * Why       a leg is taken in or let out by points moved along their levels, equally on every seam edge; what was
 *           smooth has to stay smooth, and what was straight below the knee straight.
 * Shape     from nothing at `topMm`, without a turn there, to `byMm` at `atMm`; from there straight to `hemByMm` at the
 *           hem, or without a turn back to nothing at `bottomMm`, or unchanged to the hem. The seam is cut at those
 *           levels, each end of an edge goes by the amount of its height and each handle with it, so joints keep their
 *           smoothness and the seam its directions above and below.
 * Units     mm, outwards positive.
 * Accuracy  exact at the levels; between them a cubic.
 * Errors    refusal LEVELS_OUT_OF_ORDER, SEAM_MISSES_LEVEL.
 */
export function shiftSeam(
  piece: Piece,
  role: 'inseam' | 'outseam',
  shift: Shift,
  toleranceMm: number,
): Outcome<Piece> {
  const knots = knotsOf(shift);
  if ('state' in knots) return knots;
  // The run travels downwards while it is worked on.
  const outline = edgesOf(piece, role);
  const run = role === 'inseam' ? outline : reversedRun(outline);
  const outwards = role === 'inseam' ? 1 : -1;
  const cut = cutAtKnots(piece, role, run, knots);
  if ('state' in cut) return cut;
  const moved = cut.map((edge) => ({ ...edge, curve: shifted(edge.curve, knots, outwards) }));
  const seam = role === 'inseam' ? moved : reversedRun(moved);
  const shiftedPiece = withHemAt(withSeam(piece, role, seam), role);
  return done(shiftedPiece, [
    seamRecord('shift seam', piece, shiftedPiece, role, toleranceMm),
    seamRecord('shift seam', piece, shiftedPiece, 'hem', toleranceMm),
  ]);
}

function knotsOf(shift: Shift): Knot[] | Refused {
  const { byMm, atMm, topMm, hemMm, hemByMm, bottomMm } = shift;
  const lowestMm = hemByMm !== undefined || bottomMm === undefined ? hemMm : bottomMm;
  if (!(topMm > atMm && atMm > lowestMm)) return outOfOrder(shift);
  const top = { yMm: topMm, byMm: 0, slope: 0 };
  if (hemByMm !== undefined) {
    const slope = (byMm - hemByMm) / (atMm - hemMm);
    return [top, { yMm: atMm, byMm, slope }, { yMm: hemMm, byMm: hemByMm, slope }];
  }
  const at = { yMm: atMm, byMm, slope: 0 };
  if (bottomMm === undefined) return [top, at, { yMm: hemMm, byMm, slope: 0 }];
  return [top, at, { yMm: bottomMm, byMm: 0, slope: 0 }];
}

function outOfOrder({ topMm, atMm }: Shift): Refused {
  return refused({
    code: 'LEVELS_OUT_OF_ORDER',
    message: 'The levels between which a seam is let out do not lie one below the other.',
    action: 'Let it begin above, reach its amount below that, and end above the hem or at it.',
    numbers: { topMm, atMm },
  });
}

/** Where a level misses the seam because the seam ends there, nothing has to be cut. */
function cutAtKnots(
  piece: Piece,
  role: 'inseam' | 'outseam',
  run: readonly Edge[],
  knots: readonly Knot[],
): Edge[] | Refused {
  let edges = [...run];
  for (const { yMm } of knots) {
    if (yMm >= startOfRun(edges).y - AT_END_MM || yMm <= endOfRun(edges).y + AT_END_MM) continue;
    const downwards: Piece = { ...piece, edges };
    const station = seamAtLevel(downwards, role, yMm);
    if (station === undefined) return seamMissesLevel(piece, role, yMm);
    const [head, tail] = splitRun(edges, station);
    edges = [...head, ...tail].filter(({ curve }) => heightMm(curve) > NO_HEIGHT_MM);
  }
  return edges;
}

/** Within this of an end of the seam a level is that end. */
const AT_END_MM = 1;
/** A cut at a joint leaves a part without length. */
const NO_HEIGHT_MM = 1e-6;

function heightMm(curve: Curve): number {
  const end = curve.kind === 'line' ? curve.p1 : curve.p3;
  return Math.abs(end.y - curve.p0.y);
}

function shifted(curve: Curve, knots: readonly Knot[], outwards: number): Curve {
  const end = curve.kind === 'line' ? curve.p1 : curve.p3;
  const first = shiftAt(knots, curve.p0.y, end.y);
  const second = shiftAt(knots, end.y, curve.p0.y);
  const move = (p: Point, { yMm, byMm, slope }: Knot): Point => ({
    x: p.x + outwards * (byMm + slope * (p.y - yMm)),
    y: p.y,
  });
  if (curve.kind === 'line' && isStraight(first, second))
    return line(move(curve.p0, first), move(end, second));
  const { p0, p1, p2, p3 }: CubicBezier = raised(curve);
  return cubic(move(p0, first), move(p1, first), move(p2, second), move(p3, second));
}

function isStraight(first: Knot, second: Knot): boolean {
  return (
    Math.abs(first.slope - second.slope) <= SAME_SLOPE &&
    Math.abs(second.byMm - first.byMm - first.slope * (second.yMm - first.yMm)) <= NO_HEIGHT_MM
  );
}

const SAME_SLOPE = 1e-12;

/** How far and how fast at a height; at a knot the side that `towardsMm` lies on counts. */
function shiftAt(knots: readonly Knot[], yMm: number, towardsMm: number): Knot {
  const last = knots[knots.length - 1];
  const middleMm = (yMm + towardsMm) / 2;
  if (middleMm >= knots[0].yMm) return { yMm, byMm: knots[0].byMm, slope: 0 };
  if (middleMm <= last.yMm)
    return { yMm, byMm: last.byMm + last.slope * (yMm - last.yMm), slope: last.slope };
  const below = knots.findIndex((knot) => knot.yMm < middleMm);
  return between(knots[below - 1], knots[below], yMm);
}

// The cubic with these ends and slopes (Hermite).
function between(upper: Knot, lower: Knot, yMm: number): Knot {
  const spanMm = upper.yMm - lower.yMm;
  const u = (upper.yMm - yMm) / spanMm;
  const h10 = u * (1 - u) * (1 - u);
  const h01 = u * u * (3 - 2 * u);
  const h11 = u * u * (u - 1);
  const byMm = (1 - h01) * upper.byMm + h01 * lower.byMm - spanMm * (h10 * upper.slope + h11 * lower.slope);
  const perU =
    6 * u * (1 - u) * (lower.byMm - upper.byMm) -
    spanMm * ((1 - u) * (1 - 3 * u) * upper.slope + u * (3 * u - 2) * lower.slope);
  return { yMm, byMm, slope: -perU / spanMm };
}

/** The hem of a leg with its end put where the seam now ends. */
function withHemAt(piece: Piece, role: 'inseam' | 'outseam'): Piece {
  const hem = edgesOf(piece, 'hem');
  const seam = edgesOf(piece, role);
  const ended =
    role === 'inseam'
      ? hem.map((edge, i) => (i === 0 ? { ...edge, curve: withStart(edge.curve, endOfRun(seam)) } : edge))
      : hem.map((edge, i) =>
          i === hem.length - 1 ? { ...edge, curve: withEnd(edge.curve, startOfRun(seam)) } : edge,
        );
  return withSeam(piece, 'hem', ended);
}

/**
 * An outseam spread outwards above a level: by `byMm` at its upper end, less and less down to nothing at the level,
 * without a turn at either end.
 *
 * Errors  refusal SEAM_MISSES_LEVEL.
 */
export function spreadAbove(piece: Piece, byMm: number, hingeMm: number): Edge[] | Refused {
  const run = reversedRun(edgesOf(piece, 'outseam'));
  const knots: Knot[] = [
    { yMm: startOfRun(run).y, byMm, slope: 0 },
    { yMm: hingeMm, byMm: 0, slope: 0 },
  ];
  const cut = cutAtKnots(piece, 'outseam', run, knots);
  if ('state' in cut) return cut;
  return reversedRun(cut.map((edge) => ({ ...edge, curve: shifted(edge.curve, knots, -1) })));
}
