import { inMm } from '#pattern';
import type { AppliedFix, TruingRules } from '#truing';
import type { LongSeam } from './seam-run.js';

/** Ease that a difference needs, and what of it is left to the tolerance of the seam. */
export function easeFix(
  seam: LongSeam,
  differenceMm: number,
  between: string,
  rules: TruingRules,
): AppliedFix {
  const byMm = Math.min(Math.abs(differenceMm), rules.fixes.easeMm);
  const leftMm = Math.abs(differenceMm) - byMm;
  const rest =
    leftMm < 0.05 ? '' : ` ${inMm(leftMm)} are left, within the tolerance of ${inMm(rules.seamPairMm)}.`;
  const words = `${differenceMm < 0 ? 'Stretch' : 'Ease in'} the back ${seam} by ${inMm(byMm)} between ${between}.${rest}`;
  return { of: seam, fix: { kind: 'spread-ease', piece: 'back', part: seam, byMm, words }, leftMm };
}
