import { dartsOf, pieceOf, type Block } from '#pattern';
import { checkBalanceLines } from './balance-lines.js';
import { CORNERS, measureCorner } from './corner-checks.js';
import { askAboutCorner, fixCorner, type TruableCorner } from './corner-fixes.js';
import { fixDart } from './dart-fixes.js';
import { checkOutlines } from './outline-checks.js';
import { reportFindings } from './report-findings.js';
import {
  dartName,
  measureCentreSeams,
  measureDarts,
  measureLongSeam,
  measureWaist,
  walkBlock,
  type MeasuredSeam,
  type Walks,
} from './seam-checks.js';
import { askAboutSeam, fixLongSeam } from './seam-fixes.js';
import type {
  AppliedFix,
  CheckState,
  CornerCheck,
  CornerName,
  Fix,
  SeamCheck,
  TruingReport,
} from './truing-report.js';
import type { TruingRules } from './truing-rules.js';
import { checkWaistband } from './waistband.js';

/**
 * The truing report: will these two pieces sew together, seam by seam, corner by corner, and if not, what to do.
 *
 * `fixes` are those that `trueSeams` made to this very block: a check they were made for, and that now holds, is
 * `fixed` rather than `ok`, and ease that was agreed upon is allowed for.
 *
 * Accuracy  seam lengths within `rules.lengthToleranceMm`; angles exact.
 * Edges     every check is made, whatever the others say. A balance line that a seam does not reach is `not-checked`.
 * Errors    PatternError SEAM_MISSING for a block without one of its seams; `checkBlock` says it as a finding first.
 * Cost      about 1 ms.
 */
export function trueBlock(block: Block, rules: TruingRules, fixes: readonly AppliedFix[] = []): TruingReport {
  const walks = walkBlock(block, rules.lengthToleranceMm);
  const waist = measureWaist(block, rules);
  const waistband = checkWaistband(block, waist, waist.within ? 'ok' : 'off', rules);
  const seams = [
    ...longSeamChecks(block, walks, rules, fixes),
    ...measureCentreSeams(block, rules).map((seam) => seamCheck(seam, fixes, noFix)),
    seamCheck(waist, fixes, () => waistband.proposals[0] ?? null),
    ...dartChecks(block, rules, fixes),
  ];
  const corners = CORNER_NAMES.map((at) => cornerCheck(block, at, rules, fixes));
  const balanceLines = checkBalanceLines(block, walks, rules);
  const outline = checkOutlines(block, rules);
  const measured = { seams, corners, balanceLines, waistband, outline };
  return {
    ...measured,
    findings: reportFindings(block, measured, walks, rules),
    sewable: isSewable(measured),
  };
}

const CORNER_NAMES = Object.keys(CORNERS) as CornerName[];

/** Whether no check that decides is off. Balance lines and notches are reported only; hem corners are never off before finishing. */
function isSewable({
  seams,
  corners,
  outline,
}: Pick<TruingReport, 'seams' | 'corners' | 'outline'>): boolean {
  return [...seams, ...corners, ...outline].every((check) => check.state !== 'off');
}

function longSeamChecks(
  block: Block,
  walks: Walks,
  rules: TruingRules,
  fixes: readonly AppliedFix[],
): SeamCheck[] {
  return (['inseam', 'outseam'] as const).map((name) => {
    const ease = fixes.find(({ of, fix }) => of === name && fix.kind === 'spread-ease');
    // Ease was read off the seams to their accuracy, twice.
    const easeMm = ease === undefined ? 0 : ease.fix.byMm + (ease.leftMm ?? 0) + 2 * rules.lengthToleranceMm;
    const measured = measureLongSeam(block, name, walks, rules, easeMm);
    const repair = (): Fix => fixLongSeam(block, name, rules)?.fix ?? askAboutSeam(name, measured.difference);
    return seamCheck(measured, fixes, repair);
  });
}

function dartChecks(block: Block, rules: TruingRules, fixes: readonly AppliedFix[]): SeamCheck[] {
  const repairs = new Map(
    (['front', 'back'] as const).flatMap((role) =>
      dartsOf(pieceOf(block, role)).map(
        (_, i) => [dartName(role, i), () => fixDart(block, role, i, rules)?.fix] as const,
      ),
    ),
  );
  return measureDarts(block, rules).map((dart) => {
    const ask = {
      kind: 'ask',
      piece: null,
      part: dart.name,
      byMm: Math.abs(dart.difference),
      words: `Redraw ${dart.name}.`,
    } as const;
    return seamCheck(dart, fixes, () => repairs.get(dart.name)?.() ?? ask);
  });
}

function noFix(): null {
  return null;
}

function seamCheck(
  measured: MeasuredSeam,
  fixes: readonly AppliedFix[],
  repair: () => Fix | null,
): SeamCheck {
  const { name, within, ...seam } = measured;
  return { ...seam, ...stateOf(name, within, fixes, repair) };
}

function cornerCheck(
  block: Block,
  at: CornerName,
  rules: TruingRules,
  fixes: readonly AppliedFix[],
): CornerCheck {
  const measured = measureCorner(block, at, rules);
  const { anglesDeg, sumDeg, deviationDeg, allowedDeg, overReachDeg, within } = measured;
  const repair = (): Fix =>
    isHemCorner(at)
      ? SHAPE_HEM
      : (fixCorner(block, at as TruableCorner, block, rules)?.fix ?? askAboutCorner(measured));
  const open = isHemCorner(at) && rules.hem === 'before-finishing';
  return {
    at,
    angles: anglesDeg,
    sum: sumDeg,
    target: CORNERS[at].targetDeg,
    deviation: deviationDeg,
    allowed: allowedDeg,
    ...(overReachDeg === undefined ? {} : { overReach: overReachDeg }),
    ...(open ? { state: 'for-finishing', fix: null } : stateOf(at, within, fixes, repair)),
  };
}

function isHemCorner(at: CornerName): boolean {
  return at === 'sideHem' || at === 'inseamHem';
}

const SHAPE_HEM: Fix = {
  kind: 'true-corner',
  piece: null,
  part: 'hem',
  byMm: 0,
  words: 'Shape the hem square to both seams, its ends kept.',
};

function stateOf(
  name: string,
  within: boolean,
  fixes: readonly AppliedFix[],
  repair: () => Fix | null,
): { readonly state: CheckState; readonly fix: Fix | null } {
  if (!within) return { state: 'off', fix: repair() };
  const applied = fixes.find((candidate) => candidate.of === name);
  return applied === undefined ? { state: 'ok', fix: null } : { state: 'fixed', fix: applied.fix };
}
