import {
  at,
  crossingsWithLine,
  direction,
  distance,
  dot,
  line,
  pointAt,
  way,
  type Line,
  type Point,
} from '#geometry';
import {
  edgesOf,
  cornersOf,
  outlineOf,
  seamAtLevel,
  type Levels,
  type Piece,
  type PieceLine,
} from '#pattern';
import { done, type Outcome } from './outcome.js';

/**
 * End the balance lines at the seams: hip, crotch and knee level, crease and grain.
 *
 * Shape   level lines run from the outseam to the first seam inside; the crease at x = 0 from hem to waist through
 *         the knee; they are drawn whether the piece had them or not. A grain line keeps its place and length,
 *         except that an end that lay on a seam of `before` goes to the new seam, and one that would stick out stops
 *         there. Lines of other roles stay as they are.
 */
export function endBalanceLines(before: Piece, piece: Piece, levels: Levels): Outcome<Piece> {
  const level = (role: 'hip' | 'crotch' | 'knee'): PieceLine[] => {
    const drawn = levelLineOf(piece, levels, role);
    return drawn === undefined ? [] : [{ role, curves: [drawn] }];
  };
  const crease = creaseOf(piece, levels);
  const grain = piece.lines
    .filter(({ role }) => role === 'grain')
    .map((old) => ({
      ...old,
      curves: old.curves.map((curve) =>
        curve.kind === 'line' ? (reEnded(curve, before, piece) ?? crease ?? curve) : curve,
      ),
    }));
  const others = piece.lines.filter(({ role }) => !BALANCE_ROLES.has(role));
  const lines: PieceLine[] = [
    ...level('hip'),
    ...level('crotch'),
    ...level('knee'),
    ...(crease === undefined ? [] : [{ role: 'crease' as const, curves: [crease] }]),
    ...grain,
    ...others,
  ];
  return done({ ...piece, lines });
}

const BALANCE_ROLES: ReadonlySet<PieceLine['role']> = new Set(['hip', 'crotch', 'knee', 'crease', 'grain']);

/** Levels are kept to whatever the sender wrote; a fork this near its level is on it. */
const ON_LEVEL_MM = 1e-3;

function levelLineOf(piece: Piece, levels: Levels, role: 'hip' | 'crotch' | 'knee'): Line | undefined {
  const levelMm = levels[role];
  const side = seamAtLevel(piece, 'outseam', levelMm)?.point;
  if (side === undefined) return undefined;
  const { fork } = cornersOf(piece);
  if (Math.abs(fork.y - levelMm) <= ON_LEVEL_MM) return line(side, fork);
  const inner = [...edgesOf(piece, 'rise'), ...edgesOf(piece, 'inseam')]
    .flatMap(({ curve }) => crossingsWithLine(curve, at(0, levelMm), at(1, 0)).map((t) => pointAt(curve, t)))
    .filter(({ x }) => x > side.x)
    .sort((a, b) => a.x - b.x);
  return inner.length === 0 ? undefined : line(side, inner[0]);
}

function creaseOf(piece: Piece, levels: Levels): Line | undefined {
  const knee = at(0, levels.knee);
  // A dart may stand across the crease; the line then runs through it to the waist, if there is waist above.
  const seams = piece.edges.filter(({ role }) => role !== 'dart').map(({ curve }) => curve);
  const ends = nearestCrossings(seams, knee, at(0, 1)) ?? nearestCrossings(outlineOf(piece), knee, at(0, 1));
  return ends === undefined ? undefined : line(at(0, knee.y + ends.behind), at(0, knee.y + ends.ahead));
}

// Undefined when the middle of the line lies outside the new outline; the crease then stands in for it.
function reEnded(old: Line, before: Piece, piece: Piece): Line | undefined {
  if (distance(old.p0, old.p1) === 0) return old;
  const towards = direction(old.p0, old.p1);
  const middle = { x: (old.p0.x + old.p1.x) / 2, y: (old.p0.y + old.p1.y) / 2 };
  const was = nearestCrossings(outlineOf(before), middle, towards);
  const is = nearestCrossings(outlineOf(piece), middle, towards);
  if (is === undefined) return undefined;
  const halfMm = distance(old.p0, old.p1) / 2;
  const ahead = was !== undefined && Math.abs(was.ahead - halfMm) <= AT_SEAM_MM ? is.ahead : halfMm;
  const behind = was !== undefined && Math.abs(was.behind + halfMm) <= AT_SEAM_MM ? is.behind : -halfMm;
  const pointOn = (mm: number): Point => at(middle.x + towards.x * mm, middle.y + towards.y * mm);
  return line(pointOn(Math.max(behind, is.behind)), pointOn(Math.min(ahead, is.ahead)));
}

/** A line drawn to a seam ends within this of it; common practice, no source. */
const AT_SEAM_MM = 1;

/** Signed distances from `from` along `towards` to the nearest crossings on both sides. */
function nearestCrossings(
  curves: readonly Parameters<typeof pointAt>[0][],
  from: Point,
  towards: Point,
): { readonly ahead: number; readonly behind: number } | undefined {
  let ahead = Infinity;
  let behind = -Infinity;
  for (const curve of curves) {
    for (const t of crossingsWithLine(curve, from, towards)) {
      const mm = dot(way(from, pointAt(curve, t)), towards);
      if (mm > 0 && mm < ahead) ahead = mm;
      if (mm < 0 && mm > behind) behind = mm;
    }
  }
  return Number.isFinite(ahead) && Number.isFinite(behind) ? { ahead, behind } : undefined;
}
