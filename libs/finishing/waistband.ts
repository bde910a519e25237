import { at, line } from '#geometry';
import { seamLengthMm, waistGirthMm, type Block } from '#pattern';
import type { FinishRules } from './finish-rules.js';
import type { SideNotch, SmallPiecePlan } from './small-piece.js';
import { stripSides } from './small-piece.js';

/** The arrow takes this part of a strip's length. */
const GRAIN = [0.3, 0.7] as const;

/**
 * The waistband or elastic casing, measured from the trued waist seams it is sewn to.
 *
 * Shape     one strip along the warp, folded along its middle: as long as the waist and the underlap, twice the finished
 *           height wide. Its left edge carries the notches: from the underlap round the body, centre front, side,
 *           centre back, side, centre front. A casing has no underlap and is joined at the centre back.
 * Accuracy  lengths within `rules.accuracy.seamMm`.
 * Edges     a block that came with a band gets that band: places along it keep their share, the rest is eased in.
 */
export function waistbandPlan(block: Block, rules: FinishRules): SmallPiecePlan | undefined {
  const { finish, heightMm, underlapMm } = rules.waist;
  if (finish === 'none') return undefined;
  const { seamMm: toleranceMm } = rules.accuracy;
  const girthMm = waistGirthMm(block, toleranceMm);
  const share = finish === 'waistband' && block.waistbandMm !== undefined ? block.waistbandMm / girthMm : 1;
  const frontMm = share * seamLengthMm(block.front, 'waist', toleranceMm);
  const backMm = share * seamLengthMm(block.back, 'waist', toleranceMm);
  const isBand = finish === 'waistband';
  const lengthMm = share * girthMm + (isBand ? underlapMm : 0);
  const widthMm = 2 * heightMm;
  return {
    id: finish,
    name: isBand ? 'Waistband' : 'Elastic casing',
    sides: stripSides(
      widthMm,
      lengthMm,
      ['waist', 'end', 'waist inside', 'end'],
      rules.allowances.smallPiecesMm,
    ),
    notches: isBand ? bandNotches(underlapMm, frontMm, backMm) : casingNotches(frontMm, backMm),
    lines: [{ role: 'fold', curves: [line(at(heightMm, 0), at(heightMm, lengthMm))] }],
    grain: [at(heightMm / 2, GRAIN[0] * lengthMm), at(heightMm / 2, GRAIN[1] * lengthMm)],
    quantity: { asDrawn: 1, mirrored: 0 },
    cloth: isBand ? ['shell', 'fusible'] : ['shell'],
  };
}

function bandNotches(underlapMm: number, frontMm: number, backMm: number): SideNotch[] {
  const stations = [
    ['centre front', underlapMm],
    ['side', underlapMm + frontMm],
    ['centre back', underlapMm + frontMm + backMm],
    ['side', underlapMm + frontMm + 2 * backMm],
  ] as const;
  return stations
    .filter(([, fromStartMm]) => fromStartMm > 0)
    .map(([name, fromStartMm]) => ({ name, side: 0, fromStartMm }));
}

function casingNotches(frontMm: number, backMm: number): SideNotch[] {
  const stations = [
    ['side', backMm],
    ['centre front', backMm + frontMm],
    ['side', backMm + 2 * frontMm],
  ] as const;
  return stations.map(([name, fromStartMm]) => ({ name, side: 0, fromStartMm }));
}
