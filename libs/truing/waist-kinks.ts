import { cross, DEG, dot, endDirection, reversed, startDirection, startOf, type Point } from '#geometry';
import { inMm, pieceOf, type Block, type Edge, type Moved, type Piece, type PieceRole } from '#pattern';
import { turnedAtStart } from './bend-curve.js';
import { closeDarts } from './close-darts.js';
import { measureCorner } from './corner-checks.js';
import { curveAsGiven, replaced, type Trued } from './seam-fixes.js';
import type { TruingRules } from './truing-rules.js';

/** Where the waist does not run on smoothly once a dart is closed. */
export interface WaistKink {
  /** Counted from the side, from 1. */
  readonly dart: number;
  /** The waist edges that meet over the closed dart, from side to centre. */
  readonly before: Edge;
  readonly after: Edge;
  /** Positive for a point downwards, into the piece: the waist turns left there. */
  readonly kinkDeg: number;
  readonly at: Point;
}

/** Kinks beyond what two sewn corners may be off. Not deciding: the waist is often blended only when it is cut. */
export function waistKinks(piece: Piece, rules: TruingRules): WaistKink[] {
  const { waist } = closeDarts(piece);
  return waist.slice(1).flatMap((after, i) => {
    const before = waist[i];
    if (after.dartsBefore === before.dartsBefore) return [];
    const arrives = endDirection(before.curve);
    const leaves = startDirection(after.curve);
    const kinkDeg = Math.atan2(cross(arrives, leaves), dot(arrives, leaves)) / DEG;
    if (Math.abs(kinkDeg) <= rules.cornerSumDeg) return [];
    const at = startOf(after.edge.curve);
    return [{ dart: after.dartsBefore, before: before.edge, after: after.edge, kinkDeg, at }];
  });
}

/** The corner that a bend near the centre can spoil over its ten millimetres. */
const CENTRE = { front: 'centreFrontWaist', back: 'centreBackWaist' } as const;

/** How much of a kink the side of the dart takes; the other shares are for an edge too short to be bent. */
const SIDE_SHARES = [0.5, 1, 0];

/**
 * The waist redrawn over one closed dart, half of the kink on each side, or all of it on one where the other is too
 * short. Undefined when it would move too far from where it was given, or take the centre corner out of square.
 */
export function fixWaistKink(
  block: Block,
  role: PieceRole,
  kink: WaistKink,
  given: Block,
  rules: TruingRules,
): Trued | undefined {
  for (const share of SIDE_SHARES) {
    const bent = bentOver(pieceOf(block, role), kink, share, given, rules);
    if (bent === undefined) continue;
    const trued = { ...block, [role]: bent.piece };
    const spoilt = !measureCorner(trued, CENTRE[role], rules).within;
    if (spoilt && measureCorner(block, CENTRE[role], rules).within) continue;
    const part = `waist over dart ${kink.dart}`;
    const moved: Moved = { operation: 'true corner', piece: role, part, byMm: bent.movedMm };
    const words = `Redraw the waist of the ${role} over closed dart ${kink.dart}; it moves by ${inMm(bent.movedMm)} at most.`;
    return {
      block: trued,
      moved: [moved],
      fix: { kind: 'true-corner', piece: role, part, byMm: bent.movedMm, words },
    };
  }
  return undefined;
}

function bentOver(
  piece: Piece,
  kink: WaistKink,
  sideShare: number,
  given: Block,
  rules: TruingRules,
): { readonly piece: Piece; readonly movedMm: number } | undefined {
  const { cornerTurnDeg, fullnessMm } = rules.fixes;
  const sides = [
    { edge: kink.before, turnDeg: kink.kinkDeg * sideShare, arrives: true },
    { edge: kink.after, turnDeg: -kink.kinkDeg * (1 - sideShare), arrives: false },
  ];
  let bent = { piece, movedMm: 0 };
  for (const { edge, turnDeg, arrives } of sides) {
    if (turnDeg === 0) continue;
    if (Math.abs(turnDeg) > cornerTurnDeg) return undefined;
    const away = arrives ? reversed(edge.curve) : edge.curve;
    const turned = turnedAtStart(away, turnDeg * DEG, curveAsGiven(given, piece.role, edge), fullnessMm);
    if (turned === undefined) return undefined;
    const curve = arrives ? reversed(turned.curve) : turned.curve;
    bent = { piece: replaced(bent.piece, edge, curve), movedMm: Math.max(bent.movedMm, turned.movedMm) };
  }
  return bent;
}
