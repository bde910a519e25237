import { along, endDirection, endOf, line } from '#geometry';
import { edgesOf, withSeam, type Edge, type Piece } from '#pattern';
import { edgeBeyond, edgeInPlaceOf } from './edge-identity.js';
import { done, refused, type Outcome, type Refused } from './outcome.js';
import { seamMissesLevel, seamRecord } from './redraw-seam.js';
import { endOfRun, reversedRun, splitRun, startOfRun, stationsAtLevel, withEnd } from './run.js';

/** A seam that meets its hem flatter than this cannot be carried on down to a new level. */
const DOWNWARD_SHARE_MIN = 0.2;
/** Ends this close to the level are on it. */
const ON_LEVEL_MM = 1e-9;

/**
 * Set the length of a piece: end inseam and outseam at a new hem level, with a straight hem between them.
 *
 * Shape     above the old hem the seams are cut at the level; below it their last straight parts are carried on, and
 *           a curved end gets a straight edge along its tangent.
 * Errors    refusal SEAM_MISSES_LEVEL, SEAM_NOT_DOWNWARD.
 */
export function setLength(piece: Piece, hemLevelMm: number, toleranceMm: number): Outcome<Piece> {
  const inseam = endedAt(piece, 'inseam', edgesOf(piece, 'inseam'), hemLevelMm);
  if ('state' in inseam) return inseam;
  const outseam = endedAt(piece, 'outseam', reversedRun(edgesOf(piece, 'outseam')), hemLevelMm);
  if ('state' in outseam) return outseam;
  const upwards = reversedRun(outseam);
  const hem = edgeInPlaceOf('hem', line(endOfRun(inseam), startOfRun(upwards)), edgesOf(piece, 'hem'));
  const seamed = withSeam(withSeam(piece, 'inseam', inseam), 'outseam', upwards);
  const ended = withSeam(seamed, 'hem', [hem]);
  return done(ended, [
    seamRecord('set length', piece, ended, 'inseam', toleranceMm),
    seamRecord('set length', piece, ended, 'outseam', toleranceMm),
  ]);
}

// `run` travels towards the hem.
function endedAt(
  piece: Piece,
  role: 'inseam' | 'outseam',
  run: readonly Edge[],
  levelMm: number,
): Edge[] | Refused {
  const last = run[run.length - 1];
  const end = endOf(last.curve);
  if (Math.abs(end.y - levelMm) <= ON_LEVEL_MM) return [...run];
  if (end.y < levelMm) {
    const [station] = stationsAtLevel(run, levelMm);
    return station === undefined ? seamMissesLevel(piece, role, levelMm) : splitRun(run, station)[0];
  }
  const down = endDirection(last.curve);
  if (-down.y < DOWNWARD_SHARE_MIN) return notDownward(piece, role);
  const to = along(end, down, (end.y - levelMm) / -down.y);
  if (last.curve.kind === 'line') return [...run.slice(0, -1), { ...last, curve: withEnd(last.curve, to) }];
  return [...run, edgeBeyond(last, line(end, to))];
}

function notDownward(piece: Piece, role: 'inseam' | 'outseam'): Refused {
  return refused({
    code: 'SEAM_NOT_DOWNWARD',
    message: `The ${piece.role} ${role} meets the hem too flat to be carried on downwards.`,
    action: `End the ${role} of the block with a straight part towards the floor, or do not lengthen the leg.`,
    place: { piece: piece.role, part: role },
  });
}
