import { finishBlock } from '#finishing';
import { add, along, direction, distance, endOf, leftOf, scale } from '#geometry';
import { dxfOf } from '../dxf-of.js';
import { between, changed, type FaultKind, LEGS, pieceFault, pieceOf, signed, TRUING } from './fault.js';
import { kneeEdge, nearestOn, reworked } from './edge-places.js';

function allowanceFault(
  name: string,
  codes: readonly string[],
  leftMm: (widthMm: number, next: () => number) => number | undefined,
): FaultKind {
  return pieceFault(name, codes, LEGS, (piece, next) => {
    const notch = kneeEdge(piece);
    if (notch === undefined) return undefined;
    const widthMm = distance(notch.at, notch.foot);
    const left = leftMm(widthMm, next);
    if (left === undefined) return undefined;
    const radiusMm = between(next, 25, 60);
    const centre = nearestOn(piece.cut, add(notch.at, scale(leftOf(notch.inwards), signed(next, 90, 140))));
    const cut = reworked(piece.cut, centre, radiusMm, (p) => along(p, notch.inwards, widthMm - left));
    return { piece: { ...piece, cut }, at: centre, withinMm: radiusMm + 30 };
  });
}

export const ALLOWANCE_FAULTS: readonly FaultKind[] = [
  allowanceFault('allowance too narrow', ['ALLOWANCE_NARROW'], (_, next) => between(next, 0.6, 3)),
  allowanceFault(
    'allowance jumps',
    ['ALLOWANCE_UNEVEN', 'ALLOWANCE_DIFFERS'],
    (widthMm, next) => widthMm - signed(next, 2.5, 5),
  ),
  allowanceFault(
    'seam outside of the cut line',
    ['SEW_OUTSIDE_CUT', 'OUTLINE_CROSSES'],
    (_, next) => -between(next, 1, 6),
  ),
  {
    name: 'allowances of two sewn edges differ',
    codes: ['ALLOWANCE_DIFFERS'],
    plant({ pattern, rules }, next) {
      const other = {
        ...rules,
        allowances: { ...rules.allowances, inseamMm: rules.allowances.inseamMm + between(next, 1.6, 8) },
      };
      const back = pieceOf(finishBlock(pattern.block, other, { warp: 0, weft: 0 }, TRUING).pieces, 'back');
      return back === undefined
        ? undefined
        : { text: dxfOf(changed(pattern.pieces, 'back', () => back)), piece: 'BACK' };
    },
  },
  pieceFault(
    'allowance gone at a corner',
    ['ALLOWANCE_CORNER', 'SEW_OUTSIDE_CUT'],
    ['front', 'back'],
    (piece, next) => {
      const rise = piece.runs.find(({ seam }) => seam === 'rise');
      if (rise === undefined) return undefined;
      const fork = endOf(rise.curves[rise.curves.length - 1]);
      const leave = between(next, 0.5, 3);
      // Everything of the cut line within 14 mm of the corner is drawn in to a circle of that radius.
      const cut = reworked(piece.cut, fork, 16, (p) =>
        distance(p, fork) < 1e-6 ? p : along(fork, direction(fork, p), Math.min(leave, distance(p, fork))),
      );
      return { piece: { ...piece, cut }, at: fork };
    },
  ),
];
