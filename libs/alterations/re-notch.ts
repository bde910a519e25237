import {
  curveLength,
  distance,
  nearestParameter,
  parameterAtLength,
  pointAt,
  splitCurve,
  type Point,
} from '#geometry';
import {
  BALANCE_NOTCHES,
  edgeById,
  edgesOf,
  seamAtLevel,
  seamLengthMm,
  stationDistanceMm,
  type EdgeRole,
  type LegSeam,
  type Levels,
  type Moved,
  type Notch,
  type Piece,
} from '#pattern';
import { done, type Outcome, type PiecePair } from './outcome.js';

export interface ReNotched extends PiecePair {
  /** Notches that have no place on the new seams, as they were. */
  readonly dropped: readonly { readonly piece: Piece['role']; readonly notch: Notch }[];
}

/** A notch this near a balance level is the notch of that level; a design choice. */
const AT_LEVEL_MM = 3;
/** A notch of the waist stays where the waist still passes it by less than this; a design choice. */
const WAIST_REACH_MM = 20;

/**
 * Set the notches again on the new seams.
 *
 * Shape     knee notches on inseam and outseam and the hip notch on the outseam are set on the front at their level
 *           and copied to the back by seam distance from the hem: the distance is the match, the level is a label.
 *           Every other notch of rise, inseam and outseam keeps its level; one whose partner on the front lay at the
 *           same distance from the hem follows that. Notches of the hem keep their distance from the side, those of
 *           waist and darts their place on their edge, or the nearest place on the new waist.
 * Accuracy  `toleranceMm` for every distance.
 * Edges     a notch with no place left (its part was cut off, its dart closed) is listed in `dropped`.
 */
export function reNotch(
  before: PiecePair & { readonly levels: Levels },
  after: PiecePair & { readonly levels: Levels },
  toleranceMm: number,
): Outcome<ReNotched> {
  const was = {
    front: placedNotches(before.front, toleranceMm),
    back: placedNotches(before.back, toleranceMm),
  };
  const balance = balanceNotches(before, after, was.front, toleranceMm);
  const front = otherNotches(before.front, was.front, after.front, before.levels, undefined, toleranceMm);
  const partner: Partner = { before: before.front, notches: was.front, after: after.front };
  const back = otherNotches(before.back, was.back, after.back, before.levels, partner, toleranceMm);
  const value: ReNotched = {
    front: { ...after.front, notches: [...balance.front, ...front.notches] },
    back: { ...after.back, notches: [...balance.back, ...back.notches] },
    dropped: [
      ...front.dropped.map((notch) => ({ piece: 'front' as const, notch })),
      ...back.dropped.map((notch) => ({ piece: 'back' as const, notch })),
    ],
  };
  return done(value, balance.moved);
}

/** A notch with where it is; `at` is undefined when it is set beyond the end of its edge. */
interface PlacedNotch {
  readonly notch: Notch;
  readonly role: EdgeRole;
  readonly at: Point | undefined;
}

function placedNotches(piece: Piece, toleranceMm: number): PlacedNotch[] {
  return piece.notches.map((notch) => {
    const { role, curve } = edgeById(piece, notch.edgeId);
    const beyond = notch.fromStartMm < 0 || notch.fromStartMm > curveLength(curve, toleranceMm) + toleranceMm;
    const at = beyond ? undefined : pointAt(curve, parameterAtLength(curve, notch.fromStartMm, toleranceMm));
    return { notch, role, at };
  });
}

function balanceNotches(
  before: PiecePair & { readonly levels: Levels },
  after: PiecePair & { readonly levels: Levels },
  wasInFront: readonly PlacedNotch[],
  toleranceMm: number,
): { readonly front: Notch[]; readonly back: Notch[]; readonly moved: Moved[] } {
  const front: Notch[] = [];
  const back: Notch[] = [];
  const moved: Moved[] = [];
  for (const { role, level } of BALANCE_NOTCHES) {
    const levelMm = after.levels[level];
    const fromHemMm = heightOnSeam(after.front, role, levelMm, toleranceMm);
    if (fromHemMm === undefined) continue;
    const kind = kindAt(wasInFront, role, before.levels[level]);
    for (const [piece, notches] of [
      [after.front, front],
      [after.back, back],
    ] as const) {
      const placed = placeFromHem(piece, role, fromHemMm, toleranceMm);
      if (placed !== undefined) notches.push({ ...placed, kind, name: level });
    }
    const backMm = heightOnSeam(before.front, role, before.levels[level], toleranceMm) ?? fromHemMm;
    const record = { operation: 're-notch', part: `${level} notch on the ${role}`, byMm: fromHemMm - backMm };
    moved.push({ ...record, beforeMm: backMm, afterMm: fromHemMm });
  }
  return { front, back, moved };
}

/** Seam distance from the hem up to where the seam crosses a level. */
function heightOnSeam(piece: Piece, role: LegSeam, levelMm: number, toleranceMm: number): number | undefined {
  const station = seamAtLevel(piece, role, levelMm);
  if (station === undefined) return undefined;
  const fromStartMm = stationDistanceMm(piece, role, station, toleranceMm);
  return role === 'outseam' ? fromStartMm : seamLengthMm(piece, role, toleranceMm) - fromStartMm;
}

function kindAt(notches: readonly PlacedNotch[], role: LegSeam, levelMm: number): Notch['kind'] {
  return notches.find((placed) => isAtLevel(placed, role, levelMm))?.notch.kind ?? 'slit';
}

function isAtLevel({ role, at }: PlacedNotch, wanted: EdgeRole, levelMm: number): boolean {
  return role === wanted && at !== undefined && Math.abs(at.y - levelMm) <= AT_LEVEL_MM;
}

type Place = Pick<Notch, 'edgeId' | 'fromStartMm'>;

function placeFromHem(
  piece: Piece,
  role: LegSeam,
  fromHemMm: number,
  toleranceMm: number,
): Place | undefined {
  const run = edgesOf(piece, role);
  const lengths = run.map(({ curve }) => curveLength(curve, toleranceMm / run.length));
  const totalMm = lengths.reduce((sum, length) => sum + length, 0);
  let restMm = role === 'outseam' ? fromHemMm : totalMm - fromHemMm;
  if (restMm < 0) return undefined;
  for (const [i, edge] of run.entries()) {
    if (restMm <= lengths[i]) return { edgeId: edge.id, fromStartMm: restMm };
    restMm -= lengths[i];
  }
  return undefined;
}

interface Partner {
  readonly before: Piece;
  readonly notches: readonly PlacedNotch[];
  readonly after: Piece;
}

function otherNotches(
  before: Piece,
  placed: readonly PlacedNotch[],
  after: Piece,
  levels: Levels,
  partner: Partner | undefined,
  toleranceMm: number,
): { readonly notches: Notch[]; readonly dropped: Notch[] } {
  const notches: Notch[] = [];
  const dropped: Notch[] = [];
  for (const one of placed) {
    if (BALANCE_NOTCHES.some(({ role, level }) => isAtLevel(one, role, levels[level]))) continue;
    const place = placeOf(before, after, one, partner, toleranceMm);
    if (place === undefined) dropped.push(one.notch);
    else notches.push({ ...one.notch, ...place });
  }
  return { notches, dropped };
}

function placeOf(
  before: Piece,
  after: Piece,
  { notch, role, at: p }: PlacedNotch,
  partner: Partner | undefined,
  toleranceMm: number,
): Place | undefined {
  if (p === undefined) return undefined;
  if (role === 'rise') return placeAtLevel(after, role, p.y);
  if (role === 'inseam' || role === 'outseam') {
    const leader = partner === undefined ? undefined : partnerLevel(before, role, p.y, partner, toleranceMm);
    if (partner === undefined || leader === undefined) return placeAtLevel(after, role, p.y);
    const fromHemMm = heightOnSeam(partner.after, role, leader, toleranceMm);
    return fromHemMm === undefined ? undefined : placeFromHem(after, role, fromHemMm, toleranceMm);
  }
  return placeOnEdge(before, after, notch, p);
}

function placeAtLevel(piece: Piece, role: EdgeRole, levelMm: number): Place | undefined {
  const station = seamAtLevel(piece, role, levelMm);
  if (station === undefined) return undefined;
  const [head] = splitCurve(station.edge.curve, station.t);
  return { edgeId: station.edge.id, fromStartMm: curveLength(head, PLACE_TOLERANCE_MM) };
}

/** A notch is cut by hand; a hundredth of a millimetre is far below its width. */
const PLACE_TOLERANCE_MM = 0.01;

/** The level of the front notch that lay at the same seam distance from the hem as a back notch at `levelMm`. */
function partnerLevel(
  back: Piece,
  role: LegSeam,
  levelMm: number,
  front: Partner,
  toleranceMm: number,
): number | undefined {
  const ownMm = heightOnSeam(back, role, levelMm, toleranceMm);
  if (ownMm === undefined) return undefined;
  for (const placed of front.notches) {
    if (placed.role !== role || placed.at === undefined) continue;
    const otherMm = heightOnSeam(front.before, role, placed.at.y, toleranceMm);
    if (otherMm !== undefined && Math.abs(otherMm - ownMm) <= AT_LEVEL_MM) return placed.at.y;
  }
  return undefined;
}

// Hem, waist and darts: the edge itself when it is still there and long enough, else the nearest place of its role.
function placeOnEdge(before: Piece, after: Piece, notch: Notch, p: Point): Place | undefined {
  const old = edgeById(before, notch.edgeId);
  const same = after.edges.find((edge) => edge.id === notch.edgeId);
  if (same !== undefined && old.role !== 'hem') {
    const lengthMm = curveLength(same.curve, PLACE_TOLERANCE_MM);
    return notch.fromStartMm <= lengthMm
      ? { edgeId: notch.edgeId, fromStartMm: notch.fromStartMm }
      : undefined;
  }
  let best: (Place & { mm: number }) | undefined;
  for (const edge of edgesOf(after, old.role)) {
    const t = nearestParameter(edge.curve, p);
    const mm = distance(pointAt(edge.curve, t), p);
    if (best !== undefined && mm >= best.mm) continue;
    const [head] = splitCurve(edge.curve, t);
    best = { edgeId: edge.id, fromStartMm: curveLength(head, PLACE_TOLERANCE_MM), mm };
  }
  return best === undefined || best.mm > WAIST_REACH_MM
    ? undefined
    : { edgeId: best.edgeId, fromStartMm: best.fromStartMm };
}
