import {
  distance,
  endOf,
  nearestParameter,
  pointAt,
  quadratureLength,
  splitCurve,
  startOf,
  type Point,
} from '#geometry';
import {
  BALANCE_NOTCHES,
  edgeById,
  edgesOf,
  seamAtLevel,
  seamLengthMm,
  stationDistanceMm,
  type Block,
  type Edge,
  type EdgeRole,
  type Levels,
  type Notch,
  type Piece,
} from '#pattern';

/** Two notches side by side say "back"; they stand this far apart. Common practice, no source. */
const PAIR_MM = 8;

/**
 * The notches of front and back as they are cut: those of the block, and those every trouser needs where it has none.
 *
 * Shape     knee on both leg seams, hip on the outseam, set on the front at their level; hip on the back rise; the middle
 *           of the crotch curve, one on the front and two on the back; the end of the fly. Every named notch of a leg seam
 *           stands on the back at the front's seam distance from the hem.
 * Accuracy  `toleranceMm` along the seam.
 * Edges     a level that a seam does not reach gets no notch.
 */
export function setNotches(block: Block, toleranceMm: number): Block {
  const front = {
    ...block.front,
    notches: [
      ...block.front.notches,
      ...balanceNotches(block.front, block.levels, toleranceMm),
      ...riseNotches(block.front, block.levels, toleranceMm),
      ...flyNotch(block.front),
    ],
  };
  const own = block.back.notches.filter((notch) => !hasPartner(block.back, notch, front));
  const copied = partnersOf(front, block.back, toleranceMm);
  const back = {
    ...block.back,
    notches: [...own, ...copied, ...riseNotches(block.back, block.levels, toleranceMm)],
  };
  return { ...block, front, back };
}

function balanceNotches(front: Piece, levels: Levels, toleranceMm: number): Notch[] {
  return BALANCE_NOTCHES.flatMap(({ role, level }) => {
    if (isNotched(front, role, level)) return [];
    const station = seamAtLevel(front, role, levels[level]);
    if (station === undefined) return [];
    return placed(front, role, stationDistanceMm(front, role, station, toleranceMm), level);
  });
}

function isNotched(piece: Piece, role: EdgeRole, name: string): boolean {
  return piece.notches.some((notch) => notch.name === name && edgeById(piece, notch.edgeId).role === role);
}

function riseNotches(piece: Piece, levels: Levels, toleranceMm: number): Notch[] {
  const lengthMm = seamLengthMm(piece, 'rise', toleranceMm);
  const straightMm = straightRiseMm(piece);
  // A rise that a style has drawn straight has its curve in the sewing only: the lower half stands for it.
  const middleMm = ((straightMm < lengthMm ? straightMm : lengthMm / 2) + lengthMm) / 2;
  const crotch = piece.role === 'front' ? [middleMm] : [middleMm - PAIR_MM / 2, middleMm + PAIR_MM / 2];
  const names = piece.role === 'front' ? ['crotch'] : ['crotch 1', 'crotch 2'];
  const notches = isNotched(piece, 'rise', names[0])
    ? []
    : crotch.flatMap((mm, i) => placed(piece, 'rise', mm, names[i]));
  const hip = piece.role === 'back' ? seamAtLevel(piece, 'rise', levels.hip) : undefined;
  if (hip === undefined || isNotched(piece, 'rise', 'hip')) return notches;
  return [...placed(piece, 'rise', stationDistanceMm(piece, 'rise', hip, toleranceMm), 'hip'), ...notches];
}

/** Length of the straight part of a rise, from the waist down to where its curve begins. */
export function straightRiseMm(piece: Piece): number {
  let mm = 0;
  for (const { curve } of edgesOf(piece, 'rise')) {
    if (curve.kind !== 'line') break;
    mm += quadratureLength(curve);
  }
  return mm;
}

function flyNotch(front: Piece): Notch[] {
  if (isNotched(front, 'rise', 'fly end')) return [];
  const curves = front.lines.filter(({ role }) => role === 'fly').flatMap((line) => line.curves);
  if (curves.length === 0) return [];
  const ends = [startOf(curves[0]), endOf(curves[curves.length - 1])];
  const rise = edgesOf(front, 'rise');
  const near = ends.map((p) => nearestOn(rise, p)).sort((a, b) => b.fromStartMm - a.fromStartMm);
  const onRise = near.find(({ apartMm }) => apartMm <= FLY_END_MM);
  return onRise === undefined ? [] : placed(front, 'rise', onRise.fromStartMm, 'fly end');
}

/** The fly line ends on the waist and the rise; further off than this it does not. Truing may bend a seam away by 3 mm. */
export const FLY_END_MM = 4;

/** The nearest point of a chain of edges, by seam distance. */
export function nearestOn(
  edges: readonly Edge[],
  p: Point,
): { readonly fromStartMm: number; readonly apartMm: number } {
  let best = { fromStartMm: 0, apartMm: Infinity };
  let before = 0;
  for (const { curve } of edges) {
    const t = nearestParameter(curve, p);
    const apartMm = distance(pointAt(curve, t), p);
    if (apartMm < best.apartMm)
      best = { fromStartMm: before + quadratureLength(splitCurve(curve, t)[0]), apartMm };
    before += quadratureLength(curve);
  }
  return best;
}

/** A notch at a seam distance from the start of a role's edges; none where the seam is not that long. */
export function placed(
  piece: Piece,
  role: EdgeRole,
  fromStartMm: number,
  name: string,
  kind: Notch['kind'] = 'slit',
): Notch[] {
  let restMm = fromStartMm;
  const edges = edgesOf(piece, role);
  for (const [i, edge] of edges.entries()) {
    const lengthMm = quadratureLength(edge.curve);
    if (restMm <= lengthMm || (i + 1 === edges.length && restMm <= lengthMm + 1e-6))
      return restMm < 0 ? [] : [{ edgeId: edge.id, fromStartMm: restMm, kind, name }];
    restMm -= lengthMm;
  }
  return [];
}

function hasPartner(back: Piece, notch: Notch, front: Piece): boolean {
  const { role } = edgeById(back, notch.edgeId);
  if (notch.name === undefined || (role !== 'inseam' && role !== 'outseam')) return false;
  return isNotched(front, role, notch.name);
}

function partnersOf(front: Piece, back: Piece, toleranceMm: number): Notch[] {
  return front.notches.flatMap((notch) => {
    const { role } = edgeById(front, notch.edgeId);
    if (notch.name === undefined || (role !== 'inseam' && role !== 'outseam')) return [];
    const startMm = fromSeamStartMm(front, role, notch);
    // Both inseams end at the hem, both outseams begin there.
    const backMm =
      role === 'outseam'
        ? startMm
        : seamLengthMm(back, role, toleranceMm) - (seamLengthMm(front, role, toleranceMm) - startMm);
    return placed(back, role, backMm, notch.name, notch.kind);
  });
}

/** Seam distance of a notch from the start of its role's first edge. */
export function fromSeamStartMm(piece: Piece, role: EdgeRole, notch: Notch): number {
  let before = 0;
  for (const edge of edgesOf(piece, role)) {
    if (edge.id === notch.edgeId) break;
    before += quadratureLength(edge.curve);
  }
  return before + notch.fromStartMm;
}
