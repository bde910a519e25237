import {
  along,
  cubic,
  endOf,
  line,
  parameterAtLength,
  quadratureLength,
  splitCurve,
  startOf,
  type Curve,
} from '#geometry';
import { edgesOf, seamLengthMm, type Block, type Piece } from '#pattern';
import type { FinishRules } from './finish-rules.js';
import type { SmallPiecePlan } from './small-piece.js';
import { placed } from './set-notches.js';

/** A pocket in the side seam; common practice, no source. All from the waist down along the outseam. */
const POCKET = { topMm: 45, openingMm: 160, bagMm: 290, widthMm: 145, facingMm: 45 };

/** The front's outseam notched for the pocket opening; the back gets its partners by seam distance from the hem. */
export function withPocketNotches(block: Block, rules: FinishRules): Block {
  if (rules.pockets === 'none') return block;
  const { front } = block;
  const lengthMm = seamLengthMm(front, 'outseam', rules.accuracy.seamMm);
  const opening = [
    ...placed(front, 'outseam', lengthMm - POCKET.topMm, 'pocket top'),
    ...placed(front, 'outseam', lengthMm - POCKET.topMm - POCKET.openingMm, 'pocket end'),
  ];
  return { ...block, front: { ...front, notches: [...front.notches, ...opening] } };
}

/**
 * Bag and facing of a pocket in the side seam, taken from the front's outseam.
 *
 * Shape  the bag runs along the outseam from the waist 290 mm down and 145 mm into the piece; the facing is a strip of
 *        45 mm along the same seam. Both carry the notches of the opening.
 */
export function pocketPieces(front: Piece, rules: FinishRules): SmallPiecePlan[] {
  if (rules.pockets === 'none') return [];
  const outseam = edgesOf(front, 'outseam').map(({ curve }) => curve);
  const totalMm = outseam.reduce((sum, curve) => sum + quadratureLength(curve), 0);
  if (totalMm <= POCKET.bagMm) return [];
  const side = tailOf(outseam, totalMm - POCKET.bagMm, rules.accuracy.seamMm);
  return [
    plan('pocket-bag', 'Pocket bag', side, POCKET.widthMm, ['pocketing'], 2, rules),
    plan('pocket-facing', 'Pocket facing', side, POCKET.facingMm, ['shell'], 1, rules),
  ];
}

function tailOf(chain: readonly Curve[], fromStartMm: number, toleranceMm: number): Curve[] {
  let restMm = fromStartMm;
  for (const [i, curve] of chain.entries()) {
    const lengthMm = quadratureLength(curve);
    if (restMm < lengthMm) {
      const tail = splitCurve(curve, parameterAtLength(curve, restMm, toleranceMm))[1];
      return [tail, ...chain.slice(i + 1)];
    }
    restMm -= lengthMm;
  }
  return [];
}

function plan(
  id: string,
  name: string,
  side: readonly Curve[],
  widthMm: number,
  cloth: SmallPiecePlan['cloth'],
  each: number,
  rules: FinishRules,
): SmallPiecePlan {
  const bottom = startOf(side[0]);
  const top = endOf(side[side.length - 1]);
  const inwards = { x: 1, y: 0 };
  const topInner = along(top, inwards, widthMm);
  const bottomInner = along(bottom, inwards, widthMm);
  const onSeam = (mm: number): number => POCKET.bagMm - mm;
  const round = id === 'pocket-bag';
  const edge: Curve[] = round
    ? [
        line(topInner, along(bottomInner, { x: 0, y: 1 }, widthMm / 2)),
        cubic(
          along(bottomInner, { x: 0, y: 1 }, widthMm / 2),
          along(bottomInner, { x: 0, y: 1 }, widthMm * 0.15),
          along(bottom, inwards, widthMm * 0.6),
          bottom,
        ),
      ]
    : [line(topInner, bottomInner), line(bottomInner, bottom)];
  const { outseamMm, waistMm, smallPiecesMm } = rules.allowances;
  return {
    id,
    name,
    sides: [
      { seam: 'outseam', curves: side, widthMm: outseamMm },
      { seam: 'waist', curves: [line(top, topInner)], widthMm: waistMm },
      ...edge.map((curve) => ({ seam: 'edge', curves: [curve], widthMm: smallPiecesMm })),
    ],
    notches: [
      { name: 'pocket top', side: 0, fromStartMm: onSeam(POCKET.topMm) },
      { name: 'pocket end', side: 0, fromStartMm: onSeam(POCKET.topMm + POCKET.openingMm) },
    ],
    lines: [],
    grain: [
      along(along(bottom, inwards, widthMm * 0.3), { x: 0, y: 1 }, POCKET.bagMm * 0.3),
      along(along(bottom, inwards, widthMm * 0.3), { x: 0, y: 1 }, POCKET.bagMm * 0.7),
    ],
    quantity: { asDrawn: each, mirrored: each },
    cloth,
  };
}
