import { seamQuadratureMm, type Block } from '#pattern';
import type { AppliedFix } from './truing-report.js';

/** Two differences of seams that were not redrawn agree far better than this. */
const SAME_MM = 0.01;

/**
 * The fixes of a block that still say something about it after it was altered.
 *
 * Ease that was agreed for two seams says nothing about seams that were redrawn since: it stands while the back differs
 * from the front by what it did. Every other fix was made to the lines themselves and is in them.
 */
export function fixesThatStand(fixes: readonly AppliedFix[], before: Block, after: Block): AppliedFix[] {
  return fixes.filter(({ of, fix }) => {
    if (fix.kind !== 'spread-ease') return true;
    if (of !== 'inseam' && of !== 'outseam') return false;
    return Math.abs(differenceMm(after, of) - differenceMm(before, of)) <= SAME_MM;
  });
}

function differenceMm({ front, back }: Block, seam: 'inseam' | 'outseam'): number {
  return seamQuadratureMm(back, seam) - seamQuadratureMm(front, seam);
}
