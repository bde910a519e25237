import { curveLength, splitCurve } from '#geometry';
import { seamAtLevel, type Block } from '#pattern';
import { fromHemMm, pointFromHem } from './seam-walk.js';
import type { Walks } from './seam-checks.js';
import type { BalanceLineCheck } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

/** Where a balance line ends on a seam of both pieces. The inseams have no crotch line: the back fork lies lower by design. */
const LINES: readonly { readonly line: 'hip' | 'crotch' | 'knee'; readonly seam: 'inseam' | 'outseam' }[] = [
  { line: 'hip', seam: 'outseam' },
  { line: 'crotch', seam: 'outseam' },
  { line: 'knee', seam: 'outseam' },
  { line: 'knee', seam: 'inseam' },
];

/**
 * Do the balance lines of front and back meet once the seams are sewn?
 *
 * The seams are sewn together by distance from the hem, so the back's point at the front's distance is what meets
 * the front's line; how far that point lies off the level is what is seen, above all in a check or a stripe.
 */
export function checkBalanceLines(block: Block, walks: Walks, rules: TruingRules): BalanceLineCheck[] {
  const allowed = rules.cloth === 'repeat' ? Math.min(rules.levelMm, rules.repeatLevelMm) : rules.levelMm;
  return LINES.map(({ line, seam }) => {
    const levelMm = block.levels[line];
    const missed = {
      line,
      seam,
      levelMm,
      fromHemMm: null,
      difference: null,
      allowed,
      state: 'not-checked',
    } as const;
    const front = seamAtLevel(block.front, seam, levelMm);
    if (front === undefined || seamAtLevel(block.back, seam, levelMm) === undefined) return missed;
    const intoEdgeMm = curveLength(splitCurve(front.edge.curve, front.t)[0], rules.lengthToleranceMm);
    const distanceMm = fromHemMm(walks[seam].front, front.index, intoEdgeMm);
    const partner = pointFromHem(walks[seam].back, distanceMm, rules.lengthToleranceMm);
    if (partner === undefined) return missed;
    const difference = partner.y - levelMm;
    const state = Math.abs(difference) <= allowed ? ('ok' as const) : ('off' as const);
    return { line, seam, levelMm, fromHemMm: distanceMm, difference, allowed, state };
  });
}
