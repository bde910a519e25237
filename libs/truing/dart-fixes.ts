import { curveLength, endOf, way } from '#geometry';
import { dartsOf, inMm, pieceOf, type Block, type Moved, type PieceRole } from '#pattern';
import { endedAt, withStartMoved } from './bend-curve.js';
import { pointMoved, replaced, type Trued } from './seam-fixes.js';
import type { TruingRules } from './truing-rules.js';

/**
 * The centre leg of a dart made as long as its side leg by moving its waist end along the leg; undefined when that
 * goes too far or no waist edge follows.
 */
export function fixDart(block: Block, role: PieceRole, index: number, rules: TruingRules): Trued | undefined {
  const piece = pieceOf(block, role);
  const { sideLeg, centreLeg } = dartsOf(piece)[index];
  const waist = piece.edges[piece.edges.indexOf(centreLeg) + 1];
  const sideMm = curveLength(sideLeg.curve, rules.lengthToleranceMm);
  const byMm = Math.abs(sideMm - curveLength(centreLeg.curve, rules.lengthToleranceMm));
  if (waist?.role !== 'waist' || byMm > rules.fixes.waistEndMm) return undefined;
  const ended = endedAt(centreLeg.curve, sideMm, rules.lengthToleranceMm);
  if (ended === undefined) return undefined;
  const [from, to] = [endOf(centreLeg.curve), endOf(ended)];
  const trued = replaced(
    replaced(piece, centreLeg, ended),
    waist,
    withStartMoved(waist.curve, way(from, to)),
  );
  const part = `dart ${index + 1}`;
  const moved: Moved = { ...pointMoved('move point along', part, from, to), piece: role };
  const words = `Move the waist end of the centre leg of ${part} of the ${role} ${inMm(byMm)} along the leg.`;
  return {
    block: { ...block, [role]: trued },
    moved: [moved],
    fix: { kind: 'move-waist-end', piece: role, part, byMm, words },
  };
}
