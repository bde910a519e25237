import type { Block, PieceRole } from '#pattern';
import {
  askAboutSeam,
  trueSeams,
  type AppliedFix,
  type SeamCheck,
  type TruingReport,
  type TruingRules,
} from '#truing';
import { PRACTICE, type Correction, type Found } from './check-report.js';
import type { Leg } from './leg-block.js';
import type { SignPair } from './leg-notches.js';
import { isDrawnByPoints } from './moved-points.js';
import { planSeam, type SeamPlan } from './seam-plan.js';
import type { LongSeam } from './seam-run.js';

type Legs = Readonly<Record<PieceRole, Leg>>;

const CORRECTED_BY: Readonly<Record<string, string>> = {
  inseam: 'INSEAM_MISMATCH',
  outseam: 'OUTSEAM_MISMATCH',
  fork: 'FORK_ANGLE',
  sideWaist: 'SIDE_WAIST_ANGLE',
  centreFrontWaist: 'CENTRE_FRONT_WAIST_ANGLE',
  centreBackWaist: 'CENTRE_BACK_WAIST_ANGLE',
};

/** The code of the finding that a fix answers. */
export function codeOf(check: string): string {
  return (
    CORRECTED_BY[check] ?? (check.includes('waist over dart') ? 'WAIST_KINK_AT_DART' : 'DART_LEGS_UNEQUAL')
  );
}

/**
 * Checks that truing does not mend here: an edge too short to cut stays as it was drawn, and long seams are planned with
 * the notches where they are, which truing would move along.
 */
export const NOT_TRUED: readonly string[] = ['short edges', 'inseam', 'outseam'];

/** How the long seams that are off would be made to fit; none for those about which a person is asked. */
export function plansFor(
  legs: Legs,
  pairs: readonly SignPair[],
  { seams, waistband }: TruingReport,
  rules: TruingRules,
): SeamPlan[] {
  const waist = seams.find(({ seam }) => seam === 'waist');
  const fit =
    waist === undefined || waistband.cutTo === 'seam'
      ? undefined
      : { differenceMm: waist.difference, minMm: waist.allowed.min, maxMm: waist.allowed.max };
  return seams.flatMap(({ seam, state }) =>
    state === 'off' && isLong(seam) ? (planSeam(legs, seam, pairs, rules, fit) ?? []) : [],
  );
}

/** The report of truing, with what would be done about long seams here. */
export function withPlans(truing: TruingReport, plans: readonly SeamPlan[]): TruingReport {
  const seams = truing.seams.map((check) => withPlan(check, plans));
  const findings = truing.findings.map((finding) => {
    const fix = seams.find(({ seam }) => CORRECTED_BY[seam] === finding.code)?.fix;
    return fix === undefined || fix === null ? finding : { ...finding, action: fix.words };
  });
  return { ...truing, seams, findings };
}

function withPlan(check: SeamCheck, plans: readonly SeamPlan[]): SeamCheck {
  const { seam, state, difference } = check;
  if (state !== 'off' || !isLong(seam)) return check;
  const steps = plans.find((plan) => plan.seam === seam)?.steps ?? [];
  if (steps.length === 0) return { ...check, fix: askAboutSeam(seam, difference) };
  const words = steps.map((step) => step.words).join(' ');
  return { ...check, fix: { ...steps[0], words } };
}

function isLong(seam: SeamCheck['seam']): seam is LongSeam {
  return seam === 'inseam' || seam === 'outseam';
}

/**
 * What is offered: plans of long seams, and what truing would do to each other check by itself. What would move points
 * that the file does not hold is not offered, and a finding says why.
 */
export function offerFor(
  legs: Legs,
  block: Block,
  plans: readonly SeamPlan[],
  agreed: readonly AppliedFix[],
  rules: TruingRules,
): { readonly corrections: readonly Correction[]; readonly found: readonly Found[] } {
  const trued = truedCorrections(block, agreed, rules);
  const undrawn = [legs.front, legs.back].filter((leg) => !isDrawnByPoints(leg));
  const moving = [...plans.filter(({ moved }) => moved.length > 0).flatMap(corrections), ...trued];
  const lacking = undrawn.map((leg) => ({
    leg,
    codes: moving.filter(({ piece }) => piece === null || piece === leg.role).map(({ code }) => code),
  }));
  const withheld = new Set(lacking.flatMap(({ codes }) => codes));
  return {
    corrections: [...plans.flatMap(corrections), ...trued].filter(({ code }) => !withheld.has(code)),
    found: lacking.filter(({ codes }) => codes.length > 0).map(({ leg, codes }) => notDrawn(leg, codes)),
  };
}

function corrections({ seam, steps }: SeamPlan): Correction[] {
  return steps.map(({ words, piece, part, byMm }): Correction => ({
    code: codeOf(seam),
    words,
    piece,
    part,
    byMm,
  }));
}

function truedCorrections(block: Block, agreed: readonly AppliedFix[], rules: TruingRules): Correction[] {
  const settled = [...NOT_TRUED, ...agreed.map(({ of }) => of)];
  const { fixes } = trueSeams(block, rules, (check) => !settled.includes(check));
  const offered = fixes.map(({ of, fix }: AppliedFix): Correction => ({
    code: codeOf(of),
    words: fix.words,
    piece: fix.piece,
    part: fix.part,
    byMm: fix.byMm,
  }));
  return offered.filter(
    ({ code, words }, i) => offered.findIndex((each) => each.code === code && each.words === words) === i,
  );
}

function notDrawn({ reading: { outline } }: Leg, codes: readonly string[]): Found {
  const { name, block, line } = outline.piece;
  return {
    code: 'CORRECTION_NOT_DRAWN',
    level: 'info',
    message: `No correction is offered for ${[...new Set(codes)].join(', ')}, because ${name} is drawn with arcs, splines or as a half: its points are computed and cannot be moved one by one.`,
    action: 'Export the piece as polylines, whole, and have it corrected then.',
    place: { piece: block, line },
    basis: PRACTICE,
  };
}
