import { cross, DEG, dot, endDirection, reversed, startDirection, startOf, type Point } from '#geometry';
import {
  inDegrees,
  inMm,
  pieceOf,
  type Block,
  type Edge,
  type Moved,
  type Piece,
  type PieceRole,
} from '#pattern';
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

/**
 * The waist redrawn over one closed dart, half of the kink on each side. Undefined when it would move too far from
 * where it was given, or take the centre corner out of square.
 */
export function fixWaistKink(
  block: Block,
  role: PieceRole,
  kink: WaistKink,
  given: Block,
  rules: TruingRules,
): Trued | undefined {
  const { cornerTurnDeg, fullnessMm } = rules.fixes;
  const halfRad = (kink.kinkDeg / 2) * DEG;
  if (Math.abs(kink.kinkDeg / 2) > cornerTurnDeg) return undefined;
  const before = turnedAtStart(
    reversed(kink.before.curve),
    halfRad,
    curveAsGiven(given, role, kink.before),
    fullnessMm,
  );
  const after = turnedAtStart(kink.after.curve, -halfRad, curveAsGiven(given, role, kink.after), fullnessMm);
  if (before === undefined || after === undefined) return undefined;
  const piece = replaced(
    replaced(pieceOf(block, role), kink.before, reversed(before.curve)),
    kink.after,
    after.curve,
  );
  const trued = { ...block, [role]: piece };
  if (!measureCorner(trued, CENTRE[role], rules).within && measureCorner(block, CENTRE[role], rules).within)
    return undefined;
  const byMm = Math.max(before.movedMm, after.movedMm);
  const part = `waist over dart ${kink.dart}`;
  const moved: Moved = { operation: 'true corner', piece: role, part, byMm };
  const words = `Redraw the waist of the ${role} over closed dart ${kink.dart}, ${inDegrees(Math.abs(kink.kinkDeg / 2))} on each side; it moves by ${inMm(byMm)} at most.`;
  return {
    block: trued,
    moved: [moved],
    fix: { kind: 'true-corner', piece: role, part, byMm, words },
  };
}
