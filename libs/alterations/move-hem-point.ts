import { along, distance, pointAt, quadratureLength, startDirection, way, type Point } from '#geometry';
import { edgesOf, withSeam, type Edge, type Piece } from '#pattern';
import { carrySeamEnd } from './carry-seam-end.js';
import { done, type Outcome } from './outcome.js';
import { startOfRun, stationAtLength, withStart } from './run.js';

/** The point of a hem at a distance from its inseam end; negative carries on straight beyond it. */
export function pointAlongHem(run: readonly Edge[], byMm: number, toleranceMm: number): Point {
  const start = startOfRun(run);
  if (byMm < 0 || run[0].curve.kind === 'line') {
    const lengthMm = quadratureLength(run[0].curve);
    if (byMm <= lengthMm) return along(start, startDirection(run[0].curve), byMm);
  }
  const { index, t } = stationAtLength(run, byMm, toleranceMm);
  return pointAt(run[index].curve, t);
}

/**
 * Move the inseam end of the hem to a point. A hem of one straight edge stays straight; another follows fairly,
 * its outseam end and its direction there kept.
 */
export function moveHemPointTo(piece: Piece, to: Point): Outcome<Piece> {
  const run = edgesOf(piece, 'hem');
  const from = startOfRun(run);
  const [{ curve }] = run;
  const hem =
    run.length === 1 && curve.kind === 'line'
      ? [{ ...run[0], curve: withStart(curve, to) }]
      : carriedTo(run, to);
  const moved = withSeam(piece, 'hem', hem);
  const byMm = distance(from, to);
  return done(moved, [
    { operation: 'move point along', piece: piece.role, part: 'hem at the inseam', byMm, from, to },
  ]);
}

// Adding the way to a coordinate may round; the moved end is the point asked for, bit for bit.
function carriedTo(run: readonly Edge[], to: Point): Edge[] {
  const [first, ...rest] = carrySeamEnd(run, 'start', way(startOfRun(run), to));
  return [{ ...first, curve: withStart(first.curve, to) }, ...rest];
}
