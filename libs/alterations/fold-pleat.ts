import { at, crossingsWithLine, endOf, lerp, line, mapCurve, pointAt, startOf, type Point } from '#geometry';
import { withSeam, type Edge, type Finding, type Moved, type Piece } from '#pattern';
import { edgeBeyond } from './edge-identity.js';
import { done, mm, refused, type Outcome } from './outcome.js';
import { splitRun } from './run.js';
import { spreadAbove } from './shift-seam.js';
import { edgesOfWaist, waistLineOf, type WaistLine } from './waist-line.js';

/** What has to stay of the waist on either side of a pleat; common practice, no source. */
const BESIDE_PLEAT_MM_MIN = 8;

export interface Pleat {
  /** Where the fold that shows lies: so far from the crease, towards the side when positive. */
  readonly besideCreaseMm: number;
  /** All that is folded away: twice what lies under the fold. */
  readonly depthMm: number;
  /** The level down to which the piece is spread. */
  readonly hingeMm: number;
}

export interface Pleated {
  readonly piece: Piece;
  readonly findings: readonly Finding[];
}

/**
 * Slash a piece from the waist down and spread it for a pleat.
 *
 * Shape     everything on the side of the slash goes outwards, by the depth at the waist and less and less down to
 *           nothing at the hinge, without a turn at either; the waist, its darts and the corner at the side are carried
 *           along as they are. Between the two parts of the waist lies the pleat: two equal edges that are laid on each
 *           other (`pleatsOf`). The waist seam keeps its length.
 * Errors    refusal NO_ROOM_FOR_PLEAT, SEAM_MISSES_LEVEL.
 */
export function foldPleat(piece: Piece, { besideCreaseMm, depthMm, hingeMm }: Pleat): Outcome<Pleated> {
  if (depthMm === 0) return done({ piece, findings: [] });
  const waist = waistLineOf(piece);
  const place = placeOf(waist, -besideCreaseMm);
  if (place === undefined) return noRoom(piece, besideCreaseMm);
  const findings = place.asideMm === 0 ? [] : [movedAside(piece, place.asideMm)];
  const outseam = spreadAbove(piece, depthMm, hingeMm);
  if ('state' in outseam) return outseam;
  const outwards = (p: Point): Point => at(p.x - depthMm, p.y);
  const [side, centre] = splitRun(waist.runs[place.run], place);
  const from = outwards(endOf(side[side.length - 1].curve));
  const to = startOf(centre[0].curve);
  const middle = lerp(from, to, 1 / 2);
  const carried = (edge: Edge): Edge => ({ ...edge, curve: mapCurve(edge.curve, outwards) });
  const fold = (start: Point, end: Point): Edge => ({
    ...edgeBeyond(side[side.length - 1], line(start, end)),
    role: 'dart',
  });
  const sideEdges = edgesOfWaist({
    runs: [...waist.runs.slice(0, place.run), side],
    darts: waist.darts.slice(0, place.run),
  });
  const centreEdges = edgesOfWaist({
    runs: [centre, ...waist.runs.slice(place.run + 1)],
    darts: waist.darts.slice(place.run),
  });
  const spread = withSeam(piece, 'outseam', outseam);
  const folded: Piece = {
    ...spread,
    edges: [
      ...spread.edges.filter(({ role }) => role !== 'waist' && role !== 'dart'),
      ...sideEdges.map(carried),
      fold(from, middle),
      fold(middle, to),
      ...centreEdges,
    ],
  };
  const record: Moved = { operation: 'fold pleat', piece: piece.role, part: 'pleat', byMm: depthMm };
  return done({ piece: folded, findings }, [{ ...record, beforeMm: 0, afterMm: depthMm }]);
}

interface Place {
  readonly run: number;
  readonly index: number;
  readonly t: number;
  /** How far from where it was wanted. */
  readonly asideMm: number;
}

/** The place nearest to `x` where a pleat has waist on both sides. */
function placeOf(waist: WaistLine, x: number): Place | undefined {
  for (let step = 0; step <= ASIDE_STEPS; step++) {
    const asideMm = (step * ASIDE_MM_MAX) / ASIDE_STEPS;
    const found = placeAt(waist, x - asideMm) ?? placeAt(waist, x + asideMm);
    if (found !== undefined) return { ...found, asideMm };
  }
  return undefined;
}

/** A pleat further from the crease than this is not the pleat that was asked for; a design choice. */
const ASIDE_MM_MAX = 40;
const ASIDE_STEPS = 20;

function placeAt(waist: WaistLine, x: number): Omit<Place, 'asideMm'> | undefined {
  for (const [run, edges] of waist.runs.entries()) {
    for (const [index, { role, curve }] of edges.entries()) {
      if (role !== 'waist') continue;
      const [t] = crossingsWithLine(curve, at(x, 0), at(0, 1));
      if (t === undefined) continue;
      const p = pointAt(curve, t);
      const ends = [startOf(edges[0].curve), endOf(edges[edges.length - 1].curve), ...pleatEnds(edges)];
      const free = ends.every((end) => Math.abs(end.x - p.x) >= BESIDE_PLEAT_MM_MIN);
      return free ? { run, index, t } : undefined;
    }
  }
  return undefined;
}

function pleatEnds(run: readonly Edge[]): Point[] {
  return run.flatMap(({ role, curve }) => (role === 'dart' ? [startOf(curve), endOf(curve)] : []));
}

function movedAside({ role }: Piece, asideMm: number): Finding {
  return {
    code: 'PLEAT_MOVED',
    level: 'info',
    message: `The pleat of the ${role} was folded ${mm(asideMm)} beside the place asked for, where a dart or a pleat leaves it room.`,
    action: 'Nothing to do, unless the crease has to run into the pleat; then move the dart first.',
    place: { piece: role, part: 'waist' },
    numbers: { asideMm },
  };
}

function noRoom(piece: Piece, besideMm: number): ReturnType<typeof refused> {
  return refused({
    code: 'NO_ROOM_FOR_PLEAT',
    message: `There is no waist for a pleat ${mm(besideMm)} beside the crease of the ${piece.role}: it would lie on a dart, a pleat or a seam.`,
    action: `Move the pleat so that ${BESIDE_PLEAT_MM_MIN} mm of waist stay on both sides, or remove the dart first.`,
    place: { piece: piece.role, part: 'waist' },
    numbers: { besideMm },
  });
}
