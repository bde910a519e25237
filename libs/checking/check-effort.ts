import { distance, type Point } from '#geometry';
import type { ForeignLine, ForeignPiece } from '#interchange';
import { CHOICE, type Found } from './check-report.js';
import { MARKS_MAX } from './check-settings.js';
import { isOneSide } from './piece-texts.js';
import { MIRROR_POINTS_MAX } from './pair-checks.js';
import { STATIONS_MAX, STEP_MM } from './allowance-checks.js';
import { POINTS_MAX, turnDeg } from './seam-outline.js';

/**
 * How often a point may be laid against a side of an outline in one file, all its pieces together: two or three seconds'
 * worth. A leg of ours takes less than a million, and fifty pieces of seven hundred points a line take them all but some.
 */
const EFFORT_MAX = 200_000_000;
/** Drawing a curve through a point, and looking at it in every other way that needs no other line, takes as long as so many. */
const PER_SEAM_POINT = 1500;
const PER_POINT = 300;

/**
 * The pieces that can be judged with an effort that is bounded for the whole file, in the order of the file, and what is
 * said of those that cannot. Counted from the points and marks of a piece and never timed: the same file is judged alike
 * everywhere.
 */
export function withinEffort(pieces: readonly ForeignPiece[]): {
  readonly judged: ForeignPiece[];
  readonly found: Found[];
} {
  const judged: ForeignPiece[] = [];
  const found: Found[] = [];
  let left = EFFORT_MAX;
  for (const piece of pieces) {
    const effort = effortOf(piece);
    if (effort <= left) {
      left -= effort;
      judged.push(piece);
    } else found.push(tooDense(piece));
  }
  return { judged, found };
}

function tooDense(piece: ForeignPiece): Found {
  return {
    code: 'PIECE_TOO_DENSE',
    level: 'stop',
    message: `${piece.name} was not judged: with the pieces before it, the file has more points and marks than can be laid against each other.`,
    action: 'Write lines with fewer points, one every 2 mm says as much, or send fewer pieces a file.',
    place: { piece: piece.block, line: piece.line },
    basis: CHOICE,
  };
}

/** How often judging a piece lays a point against a side, at most. */
function effortOf(piece: ForeignPiece): number {
  const { boundary, notches, drillHoles, turnPoints, curvePoints, validation } = piece;
  const cut = ringPoints(boundary);
  const sewn = piece.sewLines.map(({ points }) => (points.length <= POINTS_MAX ? points : []));
  const sew = sewn.reduce((sum, points) => sum + points.length, 0);
  const seam = sewn.reduce((most, points) => (points.length > most.length ? points : most), cut);
  const inner = [...piece.internalLines, ...piece.cutouts];
  const ofInner = inner.reduce((sum, { points }) => sum + points.length, 0);
  const laid = inner
    .slice(0, MARKS_MAX)
    .reduce((sum, { points }) => sum + Math.min(MARKS_MAX, points.length), 0);
  const dense = validation.reduce((sum, { points }) => sum + points.length, 0);
  return (
    PER_SEAM_POINT * seam.length +
    PER_POINT * (cut.length + sew + ofInner + dense) +
    notches.length * sew +
    Math.min(MARKS_MAX, notches.length) * (3 * cut.length + sew) +
    Math.min(MARKS_MAX, drillHoles.length) * (2 * cut.length + 4 * sew) +
    laid * 2 * cut.length +
    Math.min(MARKS_MAX, turnPoints.length + curvePoints.length) * (cut.length + sew + ofInner) +
    cut.length * dense +
    (seam.length + 2 * stationsOn(seam)) * 2 * cut.length +
    (isOneSide(piece) ? 2 * Math.min(MIRROR_POINTS_MAX, cut.length) * cut.length : 0)
  );
}

/** Lines past the limit of points are said and laid against nothing. */
function ringPoints(line: ForeignLine | undefined): readonly Point[] {
  return line?.closed === true && line.points.length <= POINTS_MAX ? line.points : [];
}

/** At a turn of this and more a run of allowance may end. */
const RUN_TURN_DEG = 10;
/** Stations of the shortest run, both ends with it. */
const RUN_STATIONS = 6;

function stationsOn(seam: readonly Point[]): number {
  const runs = seam.filter((_, i) => Math.abs(turnDeg(seam, i)) > RUN_TURN_DEG).length + 1;
  const lengthMm = seam.reduce(
    (sum, p, i) => sum + distance(seam[(i + seam.length - 1) % seam.length], p),
    0,
  );
  return runs * RUN_STATIONS + Math.min(lengthMm / STEP_MM, STATIONS_MAX * runs);
}
