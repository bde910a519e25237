import type { CutNotch, CutPiece } from '#finishing';
import { add, distance, leftOf, opposite, type Point, scale, way } from '#geometry';
import { dxfOf } from '../dxf-of.js';
import { isKnee, moved, nearestOn } from './edge-places.js';
import { between, changed, type FaultKind, LEGS, pick, pieceFault, pieceOf, signed } from './fault.js';

function notchFault(
  name: string,
  codes: readonly string[],
  ids: readonly string[],
  which: (notch: CutNotch) => boolean,
  change: (
    notch: CutNotch,
    next: () => number,
    piece: CutPiece,
  ) => { readonly notches: readonly CutNotch[]; readonly at: Point },
): FaultKind {
  return pieceFault(name, codes, ids, (piece, next) => {
    const notch = piece.notches.filter(which)[0];
    if (notch === undefined) return undefined;
    const { notches, at } = change(notch, next, piece);
    return {
      piece: { ...piece, notches: piece.notches.flatMap((each) => (each === notch ? notches : [each])) },
      at,
      withinMm: 15,
    };
  });
}

export const NOTCH_FAULTS: readonly FaultKind[] = [
  notchFault('notch drifted along its seam', ['NOTCH_OFF'], ['back'], isKnee, (notch, next) => {
    const drifted = moved(notch, scale(leftOf(notch.inwards), signed(next, 1.4, 8)));
    return { notches: [drifted], at: drifted.at };
  }),
  {
    name: 'notch missing on one leg',
    codes: ['NOTCH_WITHOUT_PARTNER'],
    plant({ pattern }, next) {
      const gone = pick(next, LEGS);
      const kept = gone === 'front' ? 'back' : 'front';
      const left = pieceOf(pattern.pieces, kept)?.notches.find(isKnee);
      if (left === undefined) return undefined;
      // What can be pointed at is the notch that is left without a partner.
      const pieces = changed(pattern.pieces, gone, (piece) => ({
        ...piece,
        notches: piece.notches.filter((notch) => !isKnee(notch)),
      }));
      return { text: dxfOf(pieces), piece: kept.toUpperCase(), at: left.at, withinMm: 1 };
    },
  },
  notchFault('notch too many', ['NOTCH_WITHOUT_PARTNER'], LEGS, isKnee, (notch, next, piece) => {
    const goal = add(notch.at, scale(leftOf(notch.inwards), signed(next, 60, 140)));
    const at = nearestOn(piece.cut, goal);
    const extra = moved(notch, way(notch.at, at));
    return { notches: [notch, extra], at };
  }),
  notchFault(
    'notch off the edge',
    ['NOTCH_OFF_EDGE'],
    LEGS,
    () => true,
    (notch, next) => {
      const off = moved(notch, scale(notch.inwards, signed(next, 0.8, 6)));
      return { notches: [off], at: off.at };
    },
  ),
  notchFault('notch into the seam', ['NOTCH_TOO_DEEP'], LEGS, isKnee, (notch, next) => ({
    notches: [{ ...notch, depthMm: distance(notch.at, notch.foot) + between(next, 0.2, 5) }],
    at: notch.at,
  })),
  notchFault('notch cut outwards', ['NOTCH_OUTWARDS'], LEGS, isKnee, (notch) => ({
    notches: [{ ...notch, inwards: opposite(notch.inwards) }],
    at: notch.at,
  })),
  notchFault('notch doubled', ['NOTCH_DOUBLED'], LEGS, isKnee, (notch, next) => ({
    notches: [notch, moved(notch, scale(leftOf(notch.inwards), between(next, 0, 0.8)))],
    at: notch.at,
  })),
];
