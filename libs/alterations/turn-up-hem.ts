import { at, endOf, line, mapCurve, startOf, type Point } from '#geometry';
import { edgesOf, seamAtLevel, withSeam, type Edge, type Piece } from '#pattern';
import { edgeBeyond } from './edge-identity.js';
import { done, type Outcome, type Refused } from './outcome.js';
import { seamMissesLevel, seamRecord } from './redraw-seam.js';
import { endOfRun, reversedRun, splitRun } from './run.js';

/**
 * Draw a turn-up on: the bottom of the leg mirrored at the hem, and mirrored back at the top of the turn-up.
 *
 * Why       folded up, the turn-up lies on the leg above the hem and has to be as wide as the leg there, whatever the
 *           taper; so its seams are the leg's own, mirrored.
 * Shape     below the old hem the seams go on twice `depthMm`; both folds are drawn in as inner lines. The hem level
 *           stays where the finished hem is.
 * Errors    refusal SEAM_MISSES_LEVEL.
 */
export function turnUpHem(piece: Piece, hemMm: number, depthMm: number, toleranceMm: number): Outcome<Piece> {
  const inseam = turnedUp(piece, 'inseam', edgesOf(piece, 'inseam'), hemMm, depthMm);
  if ('state' in inseam) return inseam;
  const outseam = turnedUp(piece, 'outseam', reversedRun(edgesOf(piece, 'outseam')), hemMm, depthMm);
  if ('state' in outseam) return outseam;
  const upwards = reversedRun(outseam.run);
  const [hem] = edgesOf(piece, 'hem');
  const lower = { ...hem, curve: line(endOfRun(inseam.run), startOf(upwards[0].curve)) };
  const seamed = withSeam(withSeam(piece, 'inseam', inseam.run), 'outseam', upwards);
  const ended = withSeam(seamed, 'hem', [lower]);
  const folds = [line(outseam.fold, inseam.fold), line(outseam.top, inseam.top)].map((curve) => ({
    role: 'internal' as const,
    curves: [curve],
  }));
  const turned = { ...ended, lines: [...ended.lines, ...folds] };
  return done(turned, [seamRecord('turn up hem', piece, turned, 'inseam', toleranceMm)]);
}

interface TurnedUp {
  readonly run: Edge[];
  /** Where the leg is folded up, and where the turn-up is folded down again. */
  readonly fold: Point;
  readonly top: Point;
}

// `run` travels towards the hem.
function turnedUp(
  piece: Piece,
  role: 'inseam' | 'outseam',
  run: readonly Edge[],
  hemMm: number,
  depthMm: number,
): TurnedUp | Refused {
  const station = seamAtLevel({ ...piece, edges: [...run] }, role, hemMm + depthMm);
  if (station === undefined) return seamMissesLevel(piece, role, hemMm + depthMm);
  const bottom = splitRun(run, station)[1];
  const last = run[run.length - 1];
  const beyond = (edges: readonly Edge[], move: (p: Point) => Point): Edge[] =>
    edges.map(({ curve }) => edgeBeyond(last, mapCurve(curve, move)));
  const up = reversedRun(bottom);
  const outside = beyond(up, ({ x, y }) => at(x, 2 * hemMm - y));
  const inside = beyond(bottom, ({ x, y }) => at(x, y - 2 * depthMm));
  return {
    run: [...run, ...outside, ...inside],
    fold: endOf(last.curve),
    top: endOfRun(outside),
  };
}
