import {
  angleBetween,
  crossingsWithLine,
  curveLength,
  endOf,
  pointAt,
  quadratureLength,
  ringArea,
  splitCurve,
  startOf,
  TOLERANCE_MM_MIN,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { PatternError } from './pattern-error.js';
import type { Corners, Edge, EdgeRole, Landmarks, Levels, Piece, PieceRole } from './piece.js';

export function pieceOf(block: { readonly front: Piece; readonly back: Piece }, role: PieceRole): Piece {
  return role === 'front' ? block.front : block.back;
}

/** The edges of one role in outline order. */
export function edgesOf(piece: Piece, role: EdgeRole): Edge[] {
  return piece.edges.filter((edge) => edge.role === role);
}

export function curvesOf(piece: Piece, role: EdgeRole): Curve[] {
  return edgesOf(piece, role).map((edge) => edge.curve);
}

export function outlineOf(piece: Piece): Curve[] {
  return piece.edges.map((edge) => edge.curve);
}

/** Certified seam length of one role, in mm. Darts are not part of the waist. */
export function seamLengthMm(piece: Piece, role: EdgeRole, toleranceMm: number): number {
  const curves = curvesOf(piece, role);
  // A seam from a plotter may come in a thousand pieces; none can be measured finer than the finest tolerance.
  const each = Math.max(toleranceMm / curves.length, TOLERANCE_MM_MIN);
  return curves.reduce((sum, curve) => sum + curveLength(curve, each), 0);
}

/** Seam length by fixed quadrature: for solving, not for reporting. */
export function seamQuadratureMm(piece: Piece, role: EdgeRole): number {
  return curvesOf(piece, role).reduce((sum, curve) => sum + quadratureLength(curve), 0);
}

/** Area in mm2 within the outline, darts as they lie. */
export function areaMm2(piece: Piece): number {
  return Math.abs(ringArea(outlineOf(piece)));
}

/** Where a seam is at a level: the first crossing counted along the outline. Undefined when the seam does not reach it. */
export function seamAtLevel(piece: Piece, role: EdgeRole, levelMm: number): SeamStation | undefined {
  const edges = edgesOf(piece, role);
  for (const [index, edge] of edges.entries()) {
    const [t] = crossingsWithLine(edge.curve, { x: 0, y: levelMm }, { x: 1, y: 0 });
    if (t !== undefined) return { edge, index, t, point: pointAt(edge.curve, t) };
  }
  // A seam that starts or ends on the level may miss it by a rounding of its last coordinate.
  for (const [index, edge] of edges.entries()) {
    if (Math.abs(startOf(edge.curve).y - levelMm) <= LEVEL_ROUNDING_MM)
      return { edge, index, t: 0, point: startOf(edge.curve) };
    if (Math.abs(endOf(edge.curve).y - levelMm) <= LEVEL_ROUNDING_MM)
      return { edge, index, t: 1, point: endOf(edge.curve) };
  }
  return undefined;
}

/** Coordinates are written to 1e-6 mm and levels to whatever the sender keeps; a tenth of a micron is neither's meaning. */
const LEVEL_ROUNDING_MM = 1e-4;

export interface SeamStation {
  readonly edge: Edge;
  /** Position of the edge among the edges of its role. */
  readonly index: number;
  readonly t: number;
  readonly point: Point;
}

/** Seam distance from the start of the role's first edge to the station, in mm. */
export function stationDistanceMm(
  piece: Piece,
  role: EdgeRole,
  station: SeamStation,
  toleranceMm: number,
): number {
  const before = edgesOf(piece, role).slice(0, station.index);
  const head = splitCurve(station.edge.curve, station.t)[0];
  const part = toleranceMm / (before.length + 1);
  return before.reduce((sum, edge) => sum + curveLength(edge.curve, part), curveLength(head, part));
}

/**
 * The named points of a piece where two seams meet.
 *
 * Errors  PatternError SEAM_MISSING when a role has no edge. `checkBlock` says it as a finding first.
 */
export function cornersOf(piece: Piece): Corners {
  const rise = seamEnds(piece, 'rise');
  const inseam = seamEnds(piece, 'inseam');
  const outseam = seamEnds(piece, 'outseam');
  return {
    fork: rise.end,
    centreWaist: rise.start,
    sideWaist: outseam.end,
    hemInseam: inseam.end,
    hemOutseam: outseam.start,
  };
}

function seamEnds(piece: Piece, role: EdgeRole): { readonly start: Point; readonly end: Point } {
  const edges = edgesOf(piece, role);
  if (edges.length === 0) throw new PatternError('SEAM_MISSING', { piece: piece.role, role });
  return { start: startOf(edges[0].curve), end: endOf(edges[edges.length - 1].curve) };
}

/**
 * All named points of a piece: its corners, and where its long seams are at the hip and at the knee.
 *
 * Errors  PatternError SEAM_MISSING when a role has no edge, LEVEL_MISSED when a seam does not reach the hip
 *         or knee level. `checkBlock` says both as findings first.
 */
export function landmarksOf(piece: Piece, levels: Levels): Landmarks {
  const atLevel = (role: EdgeRole, levelMm: number): Point => {
    const station = seamAtLevel(piece, role, levelMm);
    if (station === undefined) throw new PatternError('LEVEL_MISSED', { piece: piece.role, role, levelMm });
    return station.point;
  };
  return {
    ...cornersOf(piece),
    sideHip: atLevel('outseam', levels.hip),
    kneeInseam: atLevel('inseam', levels.knee),
    kneeOutseam: atLevel('outseam', levels.knee),
  };
}

/**
 * A piece with one run of edges of a role replaced, everything else and the outline's order kept.
 *
 * The caller keeps the outline closed. The edges of a role that darts interrupt (the waist) are not one run:
 * replace them one by one with `withEdge`.
 */
export function withSeam(piece: Piece, role: EdgeRole, seam: readonly Edge[]): Piece {
  const first = piece.edges.findIndex((edge) => edge.role === role);
  if (first < 0) throw new PatternError('SEAM_MISSING', { piece: piece.role, role });
  const rest = piece.edges.filter((edge) => edge.role !== role);
  return { ...piece, edges: [...rest.slice(0, first), ...seam, ...rest.slice(first)] };
}

/** A piece with the edge of one id replaced by `edges`. */
export function withEdge(piece: Piece, id: string, edges: readonly Edge[]): Piece {
  const old = edgeById(piece, id);
  return { ...piece, edges: piece.edges.flatMap((edge) => (edge === old ? edges : [edge])) };
}

/** The edge of one id. Throws PatternError EDGE_UNKNOWN. */
export function edgeById(piece: Piece, id: string): Edge {
  const edge = piece.edges.find((candidate) => candidate.id === id);
  if (edge === undefined) throw new PatternError('EDGE_UNKNOWN', { piece: piece.role, id });
  return edge;
}

export interface Dart {
  /** The leg nearer the side seam, travelled from waist to apex. */
  readonly sideLeg: Edge;
  /** The leg nearer the centre, travelled from apex to waist. */
  readonly centreLeg: Edge;
  readonly apex: Point;
}

/** The open darts of a piece from side to centre. A dart is two neighbouring edges of the role `dart`. */
export function dartsOf(piece: Piece): Dart[] {
  return openingsOf(piece).filter((opening) => !isPleat(opening));
}

/**
 * The pleats of a piece from side to centre: like a dart two neighbouring edges that are laid on each other, but they
 * meet on the waist, in the middle of the fold, and not in a point below it.
 */
export function pleatsOf(piece: Piece): Dart[] {
  return openingsOf(piece).filter(isPleat);
}

function openingsOf(piece: Piece): Dart[] {
  const legs = edgesOf(piece, 'dart');
  const openings: Dart[] = [];
  for (let i = 0; i + 1 < legs.length; i += 2) {
    openings.push({ sideLeg: legs[i], centreLeg: legs[i + 1], apex: endOf(legs[i].curve) });
  }
  return openings;
}

/** A dart is far sharper than this, and the two halves of a pleat lie nearly straight. */
const PLEAT_RAD_MIN = Math.PI / 2;

function isPleat({ sideLeg, centreLeg, apex }: Dart): boolean {
  return angleBetween(way(apex, startOf(sideLeg.curve)), way(apex, endOf(centreLeg.curve))) > PLEAT_RAD_MIN;
}
