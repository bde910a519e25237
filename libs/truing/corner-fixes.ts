import { curveLength, DEG, reversed, type Curve } from '#geometry';
import {
  edgesOf,
  inDegrees,
  inMm,
  PatternError,
  pieceOf,
  type Block,
  type Edge,
  type Moved,
  type Piece,
} from '#pattern';
import { handleMmAtStart, turnedAtStart } from './bend-curve.js';
import { CORNERS, measureCorner, type MeasuredCorner } from './corner-checks.js';
import { curveAsGiven, replaced, type Trued } from './seam-fixes.js';
import type { CornerName, Fix } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

/** The corners truing may turn. Hem corners are finishing's. */
export type TruableCorner = Exclude<CornerName, 'sideHem' | 'inseamHem'>;

/** The seam that is redrawn: never a long one, whose length has been matched. */
const TURNED = {
  fork: { role: 'rise', end: 'end', where: 'crotch curve at the fork' },
  sideWaist: { role: 'waist', end: 'start', where: 'waist at the side seam' },
  centreFrontWaist: { role: 'waist', end: 'end', where: 'waist at centre front' },
  centreBackWaist: { role: 'waist', end: 'end', where: 'waist at centre back' },
} as const;

/**
 * A corner made true by turning the crotch curve or the waist at it; its points stay. Of two pieces, the one with the
 * shorter handle turns more, so that both curves leave their places about as far; where one cannot be turned, the other
 * takes it all. `given` is the block before any
 * curve was bent.
 *
 * Shape   `undefined` when a piece would have to turn too far, or a curve would leave its place by too much, however
 *         the turn is shared.
 */
export function fixCorner(
  block: Block,
  at: TruableCorner,
  given: Block,
  rules: TruingRules,
): Trued | undefined {
  const { deviationDeg } = measureCorner(block, at, rules);
  const { pieces } = CORNERS[at];
  const ease = pieces.map(
    (role) => 1 / handleMmAtStart(armOf(pieceOf(block, role), at, rules.outline.shortEdgeMm).curve),
  );
  const shared = ease.map((each) => each / ease.reduce((sum, other) => sum + other, 0));
  // A seam that ends in a short straight cannot be turned there: then the other piece takes the whole of it.
  const alone = pieces.map((_, i) => pieces.map((__, k) => (k === i ? 1 : 0)));
  for (const shares of pieces.length === 1 ? [shared] : [shared, ...alone]) {
    const trued = turnedByShares(
      block,
      at,
      shares.map((share) => share * deviationDeg),
      given,
      rules,
    );
    if (trued !== undefined) return trued;
  }
  return undefined;
}

function turnedByShares(
  block: Block,
  at: TruableCorner,
  narrowerDeg: readonly number[],
  given: Block,
  rules: TruingRules,
): Trued | undefined {
  const turns: Turn[] = [];
  for (const [i, role] of CORNERS[at].pieces.entries()) {
    if (narrowerDeg[i] === 0) continue;
    const turn = turned(pieceOf(block, role), at, narrowerDeg[i], given, rules);
    if (turn === undefined) return undefined;
    turns.push(turn);
  }
  const trued = turns.reduce<Block>((so, { piece }) => ({ ...so, [piece.role]: piece }), block);
  if (!measureCorner(trued, at, rules).within) return undefined;
  return { block: trued, moved: turns.map((turn) => redrawn(turn, at)), fix: turnFix(at, turns) };
}

/** What is said when a corner cannot be turned. */
export function askAboutCorner({ at, deviationDeg }: MeasuredCorner): Fix {
  const words = `Redraw the ${PART[at]}: the corner is ${inDegrees(Math.abs(deviationDeg))} too ${deviationDeg > 0 ? 'wide' : 'narrow'}, more than truing may turn.`;
  return { kind: 'ask', piece: null, part: PART[at], byMm: 0, words };
}

/** A corner in trade words. */
export const PART: Readonly<Record<CornerName, string>> = {
  fork: 'fork',
  sideWaist: 'side waist',
  sideHem: 'hem at the outseam',
  inseamHem: 'hem at the inseam',
  centreFrontWaist: 'centre front waist',
  centreBackWaist: 'centre back waist',
};

interface Turn {
  readonly piece: Piece;
  readonly turnedDeg: number;
  readonly movedMm: number;
}

/**
 * The edge that is turned at a corner, and its curve travelled away from the corner: the one the corner is measured
 * by, which is not the nearest when that is too short to have a direction.
 */
function armOf(
  piece: Piece,
  at: TruableCorner,
  shortEdgeMm: number,
): { readonly edge: Edge; readonly curve: Curve } {
  const { role, end } = TURNED[at];
  const edges = edgesOf(piece, role);
  if (edges.length === 0) throw new PatternError('SEAM_MISSING', { piece: piece.role, role });
  const outwards = end === 'end' ? [...edges].reverse() : edges;
  const edge =
    outwards.find(({ curve }) => curveLength(curve, shortEdgeMm / 10) >= shortEdgeMm) ?? outwards[0];
  return { edge, curve: end === 'end' ? reversed(edge.curve) : edge.curve };
}

function turned(
  piece: Piece,
  at: TruableCorner,
  narrowerDeg: number,
  given: Block,
  rules: TruingRules,
): Turn | undefined {
  const { cornerTurnDeg, fullnessMm } = rules.fixes;
  if (Math.abs(narrowerDeg) > cornerTurnDeg) return undefined;
  const { edge, curve } = armOf(piece, at, rules.outline.shortEdgeMm);
  const arrives = TURNED[at].end === 'end';
  // The inside of a clockwise outline lies to the right: an arriving seam turned left, or a leaving one turned right,
  // narrows the corner.
  const turnRad = (arrives ? narrowerDeg : -narrowerDeg) * DEG;
  const bent = turnedAtStart(curve, turnRad, curveAsGiven(given, piece.role, edge), fullnessMm);
  if (bent === undefined) return undefined;
  const redone = replaced(piece, edge, arrives ? reversed(bent.curve) : bent.curve);
  return { piece: redone, turnedDeg: Math.abs(narrowerDeg), movedMm: bent.movedMm };
}

function redrawn({ piece, movedMm }: Turn, at: TruableCorner): Moved {
  return { operation: 'true corner', piece: piece.role, part: PART[at], byMm: movedMm };
}

function turnFix(at: TruableCorner, turns: readonly Turn[]): Fix {
  const byMm = Math.max(...turns.map((turn) => turn.movedMm));
  const each = turns.map(({ piece, turnedDeg }) => `${inDegrees(turnedDeg)} on the ${piece.role}`);
  const words = `Turn the ${TURNED[at].where} by ${each.join(' and ')}; it moves by ${inMm(byMm)} at most.`;
  return {
    kind: 'true-corner',
    piece: turns.length === 2 ? null : turns[0].piece.role,
    part: PART[at],
    byMm,
    words,
  };
}
