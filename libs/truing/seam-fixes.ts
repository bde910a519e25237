import {
  curveLength,
  distance,
  endOf,
  quadratureLength,
  startOf,
  TOLERANCE_MM_MIN,
  way,
  type CubicBezier,
  type Curve,
  type Point,
} from '#geometry';
import {
  curvesOf,
  edgesOf,
  inMm,
  pieceOf,
  seamLengthMm,
  seamQuadratureMm,
  withEdge,
  withSeam,
  type Block,
  type Edge,
  type Moved,
  type Piece,
  type PieceRole,
} from '#pattern';
import { endedAt, largestMoveMm, rootOf, withEndMoved, withFullness, withStartMoved } from './bend-curve.js';
import type { Fix } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

export interface Trued {
  readonly block: Block;
  readonly moved: readonly Moved[];
  readonly fix: Fix;
}

type LongSeam = 'inseam' | 'outseam';

/** One way to make the back's seam as long as the front's; undefined when it cannot be done or goes too far. */
type Way = (block: Block, seam: LongSeam, rules: TruingRules) => Trued | undefined;

/**
 * The best way to make the back seam as long as the front's, in the order in which the trade prefers them: the waist
 * end, the hem end, the fullness of the curve, ease between notches. None moves the fork, the crease or a notch line.
 *
 * Shape   `undefined` when no way is within its limit; then a person has to decide which piece is right.
 * Source  order common practice, no source.
 */
export function fixLongSeam(block: Block, seam: LongSeam, rules: TruingRules): Trued | undefined {
  for (const way of WAYS[seam]) {
    const trued = way(block, seam, rules);
    if (trued !== undefined) return trued;
  }
  return undefined;
}

const moveWaistEnd: Way = (block, seam, rules) => {
  const { back } = block;
  const edges = edgesOf(back, seam);
  const last = edges[edges.length - 1];
  const waist = back.edges[back.edges.indexOf(last) + 1];
  const differenceMm = differenceOf(block, seam, rules.lengthToleranceMm);
  const byMm = Math.abs(differenceMm);
  if (waist?.role !== 'waist' || byMm > rules.fixes.waistEndMm) return undefined;
  const ended = endedRun(edges, seamLengthMm(block.front, seam, rules.lengthToleranceMm), rules);
  if (ended === undefined || losesNotch(back, edges, ended)) return undefined;
  const [from, to] = [endOf(last.curve), endOf(ended[ended.length - 1].curve)];
  const trued = replaced(withSeam(back, seam, ended), waist, withStartMoved(waist.curve, way(from, to)));
  const words = `Move the back side waist ${inMm(byMm)} ${differenceMm > 0 ? 'down' : 'up'} along the ${seam}.`;
  return {
    block: { ...block, back: trued },
    moved: [
      pointMoved('move point along', 'side waist', from, to),
      lengthened(back, trued, seam, rules.lengthToleranceMm),
    ],
    fix: { kind: 'move-waist-end', piece: 'back', part: 'side waist', byMm, words },
  };
};

/**
 * A run of edges cut off or carried on to a given length. Edges past the new end are left out, and where only a short
 * end of one would remain, the edge before it is carried on instead.
 */
function endedRun(edges: readonly Edge[], lengthMm: number, rules: TruingRules): Edge[] | undefined {
  const toleranceMm = Math.max(rules.lengthToleranceMm / edges.length, TOLERANCE_MM_MIN);
  let restMm = lengthMm;
  for (const [i, edge] of edges.entries()) {
    const edgeMm = curveLength(edge.curve, toleranceMm);
    const nextMm = i + 1 === edges.length ? 0 : restMm - edgeMm;
    if (i + 1 === edges.length || nextMm < rules.outline.shortEdgeMm) {
      const curve = endedAt(edge.curve, restMm, toleranceMm);
      return curve && [...edges.slice(0, i), { ...edge, curve }];
    }
    restMm -= edgeMm;
  }
  return undefined;
}

/** Whether a notch would lie past the end of its edge, or on an edge that is gone. */
function losesNotch(piece: Piece, before: readonly Edge[], after: readonly Edge[]): boolean {
  return piece.notches.some(({ edgeId, fromStartMm }) => {
    if (!before.some(({ id }) => id === edgeId)) return false;
    const edge = after.find(({ id }) => id === edgeId);
    return edge === undefined || fromStartMm > quadratureLength(edge.curve);
  });
}

const moveHemEnd: Way = (block, seam, rules) => {
  const { back } = block;
  const targetMm = seamLengthMm(block.front, seam, rules.lengthToleranceMm);
  const hem = edgesOf(back, 'hem');
  if (!isLevel(hem)) return undefined;
  const limitMm = rules.fixes.hemEndMm;
  const missing = (x: number): number => seamQuadratureMm(withHemEnd(back, seam, x), seam) - targetMm;
  const x = rootOf(missing, 0, limitMm) ?? rootOf(missing, -limitMm, 0);
  if (x === undefined) return undefined;
  const edges = edgesOf(back, seam);
  const differenceMm = differenceOf(block, seam, rules.lengthToleranceMm);
  const trued = keepNotches(withHemEnd(back, seam, x), edges[edges.length - 1], seam, -differenceMm);
  if (trued === undefined) return undefined;
  const [from, to] = [hemEnd(back, seam), hemEnd(trued, seam)];
  const outwards = seam === 'inseam' ? x > 0 : x < 0;
  const words = `Move the ${seam} end of the back hem ${inMm(Math.abs(x))} ${outwards ? 'out' : 'in'} along the hem.`;
  return {
    block: { ...block, back: trued },
    moved: [
      pointMoved('move point along', `hem at the ${seam}`, from, to),
      lengthened(back, trued, seam, rules.lengthToleranceMm),
    ],
    fix: { kind: 'move-hem-end', piece: 'back', part: 'hem', byMm: Math.abs(x), words },
  };
};

const changeFullness: Way = (block, seam, rules) => {
  const { back } = block;
  const edge = fullest(edgesOf(back, seam));
  if (edge === undefined) return undefined;
  const differenceMm = differenceOf(block, seam, rules.lengthToleranceMm);
  const wantedMm = quadratureLength(edge.curve) - differenceMm;
  const missing = (factor: number): number => quadratureLength(withFullness(edge.curve, factor)) - wantedMm;
  const factor = rootOf(missing, FULLNESS_MIN, FULLNESS_MAX);
  if (factor === undefined) return undefined;
  const curve = withFullness(edge.curve, factor);
  const byMm = largestMoveMm(edge.curve, curve);
  if (byMm > rules.fixes.fullnessMm) return undefined;
  const trued = keepNotches(replaced(back, edge, curve), edge, seam, -differenceMm);
  if (trued === undefined) return undefined;
  const words = `Redraw the curve of the back ${seam} ${factor > 1 ? 'fuller' : 'flatter'}; it moves by ${inMm(byMm)} at most.`;
  const redrawn: Moved = { operation: 'redraw seam', piece: 'back', part: seam, byMm };
  return {
    block: { ...block, back: trued },
    moved: [redrawn, lengthened(back, trued, seam, rules.lengthToleranceMm)],
    fix: { kind: 'change-fullness', piece: 'back', part: seam, byMm, words },
  };
};

const spreadEase: Way = (block, seam, rules) => {
  const differenceMm = differenceOf(block, seam, rules.lengthToleranceMm);
  const byMm = Math.abs(differenceMm);
  // Ease shifts the cloth of one piece against the other, and so its repeat.
  if (byMm > rules.fixes.easeMm || rules.cloth === 'repeat') return undefined;
  const between = seam === 'inseam' ? 'the knee notch and the fork' : 'the hem and the hip notch';
  const words = `${differenceMm < 0 ? 'Stretch' : 'Ease in'} the back ${seam} by ${inMm(byMm)} between ${between}.`;
  return { block, moved: [], fix: { kind: 'spread-ease', piece: 'back', part: seam, byMm, words } };
};

/** The inseam has no end at the waist. */
const WAYS: Readonly<Record<LongSeam, readonly Way[]>> = {
  inseam: [moveHemEnd, changeFullness, spreadEase],
  outseam: [moveWaistEnd, moveHemEnd, changeFullness, spreadEase],
};

/** Handles this much shorter or longer are still a curve of the same kind. */
const FULLNESS_MIN = 0.5;
const FULLNESS_MAX = 1.6;

/** What is said when no way is left. */
export function askAboutSeam(seam: LongSeam, differenceMm: number): Fix {
  const byMm = Math.abs(differenceMm);
  const words = `Ask which piece is right: the back ${seam} is ${inMm(byMm)} too ${differenceMm < 0 ? 'short' : 'long'} for the front, more than truing may take up.`;
  return { kind: 'ask', piece: 'back', part: seam, byMm, words };
}

function differenceOf({ front, back }: Block, seam: LongSeam, toleranceMm: number): number {
  return seamLengthMm(back, seam, toleranceMm) - seamLengthMm(front, seam, toleranceMm);
}

/** The edge of a seam with the most length to gain or to lose by its handles. */
function fullest(edges: readonly Edge[]): (Edge & { readonly curve: CubicBezier }) | undefined {
  const bow = (edge: Edge): number =>
    quadratureLength(edge.curve) - distance(startOf(edge.curve), endOf(edge.curve));
  return edges
    .filter((edge): edge is Edge & { readonly curve: CubicBezier } => edge.curve.kind === 'cubic')
    .sort((a, b) => bow(b) - bow(a))[0];
}

function isLevel(hem: readonly Edge[]): boolean {
  const heights = hem.flatMap(({ curve }) => [startOf(curve).y, endOf(curve).y]);
  return (
    hem.every(({ curve }) => curve.kind === 'line') && Math.max(...heights) - Math.min(...heights) < LEVEL_MM
  );
}

/** Moving its end along a hem that rises by less than this over its width does not change the hem's level. */
const LEVEL_MM = 0.01;

function hemEnd(piece: Piece, seam: LongSeam): Point {
  const hem = curvesOf(piece, 'hem');
  return seam === 'inseam' ? startOf(hem[0]) : endOf(hem[hem.length - 1]);
}

function withHemEnd(piece: Piece, seam: LongSeam, x: number): Piece {
  const by = { x, y: 0 };
  const edges = edgesOf(piece, seam);
  const hem = edgesOf(piece, 'hem');
  if (seam === 'inseam') {
    const last = edges[edges.length - 1];
    return replaced(
      replaced(piece, last, withEndMoved(last.curve, by)),
      hem[0],
      withStartMoved(hem[0].curve, by),
    );
  }
  const lastHem = hem[hem.length - 1];
  return replaced(
    replaced(piece, edges[0], withStartMoved(edges[0].curve, by)),
    lastHem,
    withEndMoved(lastHem.curve, by),
  );
}

/**
 * Notches keep their distance from the hem, so on an edge of the inseam they travel with its far end. Undefined when
 * one would travel off the edge.
 */
function keepNotches(piece: Piece, { id }: Edge, seam: LongSeam, longerMm: number): Piece | undefined {
  if (seam === 'outseam') return piece;
  const notches = piece.notches.map((notch) =>
    notch.edgeId === id ? { ...notch, fromStartMm: notch.fromStartMm + longerMm } : notch,
  );
  return notches.some((notch) => notch.fromStartMm < 0) ? undefined : { ...piece, notches };
}

/** An edge's curve as it was in another state of the block; its own where that had no such edge. */
export function curveAsGiven(given: Block, role: PieceRole, edge: Edge): Curve {
  return pieceOf(given, role).edges.find(({ id }) => id === edge.id)?.curve ?? edge.curve;
}

export function replaced(piece: Piece, edge: Edge, curve: Curve): Piece {
  return withEdge(piece, edge.id, [{ ...edge, curve }]);
}

export function pointMoved(operation: string, part: string, from: Point, to: Point): Moved {
  return { operation, piece: 'back', part, byMm: distance(from, to), from, to };
}

function lengthened(before: Piece, after: Piece, seam: LongSeam, toleranceMm: number): Moved {
  const beforeMm = seamLengthMm(before, seam, toleranceMm);
  const afterMm = seamLengthMm(after, seam, toleranceMm);
  return { operation: 'match seam', piece: 'back', part: seam, byMm: afterMm - beforeMm, beforeMm, afterMm };
}
