import { dot, way, type Point } from '#geometry';
import type { DxfLog } from './dxf-log.js';
import type { ForeignLine, ForeignPiece, ForeignPoint } from './foreign-pattern.js';
import { offLine } from './rings.js';

/** Points this near to the mirror line lie on the fold. */
const ON_FOLD_MM = 0.3;

type Fold = readonly [Point, Point];

/**
 * A half piece with its other half drawn: every line, notch and hole mirrored, the fold edge gone from the outline.
 *
 * Edges   lines that start and end on the fold become closed; what crosses the fold is taken as drawn whole. Where no
 *         edge of the cut line lies on the mirror line, the piece stays a half and a problem says so.
 */
export function unfolded(piece: ForeignPiece, fold: Fold, log: DxfLog): ForeignPiece {
  const boundary = piece.boundary === undefined ? undefined : wholeRing(piece.boundary, fold);
  if (boundary === undefined) {
    log.problem({
      code: 'MIRROR_LINE_OFF',
      line: piece.line,
      found: `a mirror line that no edge of ${piece.name} lies on`,
      allowed: `a mirror line within ${ON_FOLD_MM} mm of the fold edge`,
      message: `The mirror line of ${piece.name} does not lie on an edge of its cut line; the piece was not unfolded.`,
      action: 'Draw the mirror line along the fold edge.',
    });
    return piece;
  }
  const both = <T>(each: readonly T[], mirror: (one: T) => T, at: (one: T) => Point): T[] =>
    each.flatMap((one) => (Math.abs(offLine(at(one), fold)) <= ON_FOLD_MM ? [one] : [one, mirror(one)]));
  const point = (p: ForeignPoint): ForeignPoint => mirrored(p, fold);
  const self = (p: ForeignPoint): Point => p;
  return {
    ...piece,
    boundary,
    sewLines: piece.sewLines.flatMap((line) => wholeLine(line, fold)),
    internalLines: piece.internalLines.flatMap((line) => wholeLine(line, fold)),
    cutouts: piece.cutouts.flatMap((line) => wholeLine(line, fold)),
    validation: piece.validation.flatMap((line) => wholeLine(line, fold)),
    turnPoints: both(piece.turnPoints, point, self),
    curvePoints: both(piece.curvePoints, point, self),
    notches: both(
      piece.notches,
      (notch) => ({ ...notch, at: point(notch.at), ...mirroredAngle(notch, fold) }),
      ({ at }) => at,
    ),
    drillHoles: both(
      piece.drillHoles,
      (hole) => ({ ...hole, at: point(hole.at) }),
      ({ at }) => at,
    ),
    unfolded: true,
  };
}

function mirroredAngle(
  { angleDeg }: { readonly angleDeg?: number },
  [from, to]: Fold,
): { angleDeg?: number } {
  if (angleDeg === undefined) return {};
  const foldDeg = (Math.atan2(to.y - from.y, to.x - from.x) * 180) / Math.PI;
  return { angleDeg: 2 * foldDeg - angleDeg };
}

function mirrored(p: Point, [from, to]: Fold): Point {
  const along = way(from, to);
  const reach = way(from, p);
  const share = dot(along, reach) / dot(along, along);
  const foot = { x: from.x + share * along.x, y: from.y + share * along.y };
  return { x: 2 * foot.x - p.x, y: 2 * foot.y - p.y };
}

/** A ring whose run along the fold is replaced by its mirror image; undefined when it has no such run. */
function wholeRing(ring: ForeignLine, fold: Fold): ForeignLine | undefined {
  const { points } = ring;
  const onFold = points.map((p) => Math.abs(offLine(p, fold)) <= ON_FOLD_MM);
  const first = onFold.findIndex((on, i) => on && !onFold[(i + 1) % points.length]);
  if (first < 0) return undefined;
  const turned = [...points.slice(first), ...points.slice(0, first)];
  const back = turned.findIndex((p, i) => i > 0 && Math.abs(offLine(p, fold)) <= ON_FOLD_MM);
  // One point on the fold only, or a ring that comes back to it more than once, is no half piece.
  const rest = turned.slice(back + 1);
  if (back < 2 || !rest.every((p) => Math.abs(offLine(p, fold)) <= ON_FOLD_MM)) return undefined;
  const half = turned.slice(0, back + 1);
  const other = half
    .slice(1, -1)
    .reverse()
    .map((p) => mirrored(p, fold));
  return { ...ring, points: [...half, ...other], repeats: [...ring.repeats, ...rest] };
}

function wholeLine(line: ForeignLine, fold: Fold): ForeignLine[] {
  const { points, closed } = line;
  if (closed) {
    const whole = wholeRing(line, fold);
    return whole === undefined ? [line, { ...line, points: points.map((p) => mirrored(p, fold)) }] : [whole];
  }
  const ends = [points[0], points[points.length - 1]].map((p) => Math.abs(offLine(p, fold)) <= ON_FOLD_MM);
  const all = points.every((p) => Math.abs(offLine(p, fold)) <= ON_FOLD_MM);
  if (all) return [line];
  const image = [...points].reverse().map((p) => mirrored(p, fold));
  if (ends[0] && ends[1]) return [{ ...line, points: [...points, ...image.slice(1, -1)], closed: true }];
  if (ends[1]) return [{ ...line, points: [...points, ...image.slice(1)] }];
  if (ends[0]) return [{ ...line, points: [...image.slice(0, -1), ...points] }];
  return [line, { ...line, points: points.map((p) => mirrored(p, fold)) }];
}
