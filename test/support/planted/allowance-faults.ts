import { type CutNotch, type CutPiece, type CutPoint, finishBlock } from '#finishing';
import { add, along, direction, distance, endOf, leftOf, lerp, type Point, scale, way } from '#geometry';
import { dxfOf } from '../dxf-of.js';
import { between, changed, type FaultKind, LEGS, pieceFault, pieceOf, signed, TRUING } from './fault.js';
import { isKnee } from './notch-faults.js';

export function nearestOn(cut: readonly CutPoint[], p: Point): Point {
  let best = cut[0].at;
  for (const [i, { at }] of cut.entries()) {
    const next = cut[(i + 1) % cut.length].at;
    const side = way(at, next);
    const length = Math.max(1e-9, side.x * side.x + side.y * side.y);
    const t = Math.min(1, Math.max(0, ((p.x - at.x) * side.x + (p.y - at.y) * side.y) / length));
    const foot = lerp(at, next, t);
    if (distance(foot, p) < distance(best, p)) best = foot;
  }
  return best;
}

/** The cut line with points added every `stepMm` within `radiusMm` of a place, and those points moved by `move`. */
export function reworked(
  cut: readonly CutPoint[],
  centre: Point,
  radiusMm: number,
  move: (p: Point) => Point,
): CutPoint[] {
  const dense = cut.flatMap((point, i): CutPoint[] => {
    const next = cut[(i + 1) % cut.length].at;
    const mm = distance(point.at, next);
    const count = Math.floor(mm / 4);
    const inner = Array.from({ length: Math.max(0, count - 1) }, (_, k) =>
      lerp(point.at, next, (k + 1) / count),
    ).filter((p) => distance(p, centre) < radiusMm + 6);
    return [point, ...inner.map((at): CutPoint => ({ at, kind: 'curve' }))];
  });
  return dense.map((point) =>
    distance(point.at, centre) < radiusMm ? { ...point, at: move(point.at) } : point,
  );
}

/** The middle of an allowance: a place on the cut line beside the knee notch. */
export function kneeEdge(piece: CutPiece): CutNotch | undefined {
  return piece.notches.find(isKnee);
}

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
