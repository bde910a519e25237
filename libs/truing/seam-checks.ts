import { curveLength } from '#geometry';
import { dartsOf, pieceOf, seamLengthMm, type Block, type Piece, type PieceRole } from '#pattern';
import { checkNotches } from './notch-checks.js';
import { walkSeam, type SeamWalk } from './seam-walk.js';
import type { SeamCheck, SeamSide } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

/** A seam check before anybody has asked how to repair it. */
export type MeasuredSeam = Omit<SeamCheck, 'state' | 'fix'> & {
  /** Names the check in findings and fixes: the seam, or a dart by piece and number. */
  readonly name: string;
  readonly within: boolean;
};

/** The long seams of both pieces, walked once for every check that needs them. */
export interface Walks {
  readonly inseam: { readonly front: SeamWalk; readonly back: SeamWalk };
  readonly outseam: { readonly front: SeamWalk; readonly back: SeamWalk };
}

export function walkBlock({ front, back }: Block, toleranceMm: number): Walks {
  const both = (role: 'inseam' | 'outseam'): Walks['inseam'] => ({
    front: walkSeam(front, role, toleranceMm),
    back: walkSeam(back, role, toleranceMm),
  });
  return { inseam: both('inseam'), outseam: both('outseam') };
}

/** Inseam or outseam, back against front. `easeMm` is how much ease or stretch has been agreed upon, never negative. */
export function measureLongSeam(
  block: Block,
  seam: 'inseam' | 'outseam',
  walks: Walks,
  rules: TruingRules,
  easeMm: number,
): MeasuredSeam {
  const { front, back } = walks[seam];
  const difference = back.totalMm - front.totalMm;
  // Stretch that is meant was read off the seams to their accuracy, twice, as agreed ease was.
  const meantMm = rules.intendedStretchMm > 0 ? rules.intendedStretchMm + 2 * rules.lengthToleranceMm : 0;
  const stretchMm = Math.max(seam === 'inseam' ? meantMm : 0, difference < 0 ? easeMm : 0);
  const min = -Math.max(rules.seamPairMm, stretchMm);
  const max = Math.max(rules.seamPairMm, difference > 0 ? easeMm : 0);
  return {
    ...compared(
      seam,
      seam,
      { piece: 'front', part: seam, lengthMm: front.totalMm },
      { piece: 'back', part: seam, lengthMm: back.totalMm },
      difference,
      { min, max },
    ),
    notches: checkNotches(block, walks[seam], rules),
  };
}

/** A centre seam is sewn to its own mirror image; what may be wrong with it shows in the whole way through the fork. */
export function measureCentreSeams(block: Block, rules: TruingRules): MeasuredSeam[] {
  const frontMm = seamLengthMm(block.front, 'rise', rules.lengthToleranceMm);
  const backMm = seamLengthMm(block.back, 'rise', rules.lengthToleranceMm);
  const centre = (seam: 'centre-front' | 'centre-back', piece: PieceRole, lengthMm: number): MeasuredSeam => {
    const side: SeamSide = { piece, part: 'rise', lengthMm };
    const allowed = { min: -rules.seamPairMm, max: rules.seamPairMm };
    return { ...compared(seam, seam, side, side, 0, allowed), crotchPathMm: frontMm + backMm };
  };
  return [centre('centre-front', 'front', frontMm), centre('centre-back', 'back', backMm)];
}

/** The whole waist seam round the body with its darts closed, against the band. */
export function measureWaist(block: Block, rules: TruingRules): MeasuredSeam {
  const halfMm =
    seamLengthMm(block.front, 'waist', rules.lengthToleranceMm) +
    seamLengthMm(block.back, 'waist', rules.lengthToleranceMm);
  const seamMm = 2 * halfMm;
  const bandMm = block.waistbandMm ?? seamMm;
  const allowed = { min: -rules.bandMm, max: Math.max(rules.bandMm, rules.bandFullnessMax * bandMm) };
  return compared(
    'waist',
    'waist',
    { piece: 'both', part: 'waist', lengthMm: seamMm },
    { piece: 'waistband', part: 'waistband', lengthMm: bandMm },
    seamMm - bandMm,
    allowed,
  );
}

export function measureDarts(block: Block, rules: TruingRules): MeasuredSeam[] {
  return (['front', 'back'] as const).flatMap((role) => dartSeams(pieceOf(block, role), rules));
}

function dartSeams(piece: Piece, rules: TruingRules): MeasuredSeam[] {
  const allowed = { min: -rules.dartLegMm, max: rules.dartLegMm };
  return dartsOf(piece).map(({ sideLeg, centreLeg }, i) => {
    const sideMm = curveLength(sideLeg.curve, rules.lengthToleranceMm);
    const centreMm = curveLength(centreLeg.curve, rules.lengthToleranceMm);
    const name = dartName(piece.role, i);
    return compared(
      'dart',
      name,
      { piece: piece.role, part: `dart ${i + 1}, side leg`, lengthMm: sideMm },
      { piece: piece.role, part: `dart ${i + 1}, centre leg`, lengthMm: centreMm },
      centreMm - sideMm,
      allowed,
    );
  });
}

/** "back dart 2": darts are counted from the side seam to the centre. */
export function dartName(piece: PieceRole, index: number): string {
  return `${piece} dart ${index + 1}`;
}

function compared(
  seam: SeamCheck['seam'],
  name: string,
  first: SeamSide,
  second: SeamSide,
  difference: number,
  allowed: SeamCheck['allowed'],
): MeasuredSeam {
  const within = difference >= allowed.min && difference <= allowed.max;
  return { seam, name, first, second, difference, allowed, within, notches: [] };
}
