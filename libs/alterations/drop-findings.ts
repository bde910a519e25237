import { curvatureRange, direction, distance } from '#geometry';
import {
  edgesOf,
  cornersOf,
  seamAtLevel,
  seamLengthMm,
  waistGirthMm,
  type Block,
  type Finding,
  type Piece,
  type PieceRole,
} from '#pattern';
import type { AlterationTolerances, Wearer } from './alteration-result.js';
import type { DropCrotchParameters } from './drop-crotch-parameters.js';
import type { DropLevels } from './drop-range.js';
import { fairCubic } from './fair-cubic.js';
import { mm } from './outcome.js';
import type { DropCrotchPlan } from './plan-drop-crotch.js';

/** From this lean on a straight seam stretches like a bias cut; common practice, no source. */
const NEAR_BIAS_DEG = 20;
/** A crease pressed this far off the middle of the hem is seen; common practice, no source. */
const HEM_OFF_CREASE_MM = 3;
const INSEAM_RADIUS_MM_MIN = 20;
const CURVATURE_SAMPLES = 48;
/** A waist seam shorter than its band by more cannot be sewn flat. */
const BAND_SHORT_MM = 1;
/** The finished waist has at least this much over the body; common practice, no source. */
const WAIST_OVER_BODY_MM = 10;

/** An altered block and what it was made from. */
export interface Drawn {
  readonly before: Block;
  readonly after: Block;
  readonly plan: DropCrotchPlan;
  readonly parameters: DropCrotchParameters;
  readonly levels: DropLevels;
  readonly wearer: Wearer;
}

const ROLES = ['front', 'back'] as const satisfies readonly PieceRole[];

/** What a cutter wants to know about a drop-crotch that was drawn. */
export function dropFindings(drawn: Drawn, tolerances: AlterationTolerances): Finding[] {
  return [
    ...waistFindings(drawn, tolerances),
    ...inseamFindings(drawn),
    ...riseFindings(drawn),
    ...hemFindings(drawn),
    ...lostFullness(drawn),
  ];
}

function waistFindings({ before, after, wearer }: Drawn, { lengthMm }: AlterationTolerances): Finding[] {
  const seamMm = waistGirthMm(after, lengthMm);
  const bandMm = before.waistbandMm ?? waistGirthMm(before, lengthMm);
  const shortMm = bandMm - seamMm;
  const darts = edgesOf(after.front, 'dart').length + edgesOf(after.back, 'dart').length;
  const findings: Finding[] = [];
  if (wearer.waistGirthMm !== undefined && seamMm < wearer.waistGirthMm + WAIST_OVER_BODY_MM) {
    findings.push({
      code: 'WAIST_TOO_SMALL',
      level: 'stop',
      message: `The finished waist has ${mm(seamMm - wearer.waistGirthMm)} of ease; ${WAIST_OVER_BODY_MM} mm are needed.`,
      action: 'Have the waist restored ("waist": "restore"), or use a block with more waist ease.',
      place: { part: 'waist' },
      pointer: `${wearer.pointer}/waist`,
      numbers: { easeMm: seamMm - wearer.waistGirthMm, neededMm: WAIST_OVER_BODY_MM },
    });
  }
  if (shortMm > BAND_SHORT_MM) {
    const release =
      darts === 0 ? '' : `, release each of the ${darts} darts of the garment by ${mm(shortMm / darts)}`;
    findings.push({
      code: 'WAISTBAND_SHORTER',
      level: 'warning',
      message: `The waist seam is ${mm(shortMm)} shorter than ${before.waistbandMm === undefined ? 'the block had it' : 'the band'}, because the longer rises lean.`,
      action: `Have the waist restored${release}, let out each of the four side seams by ${mm(shortMm / 4)}, or cut the band shorter if the waist ease allows.`,
      place: { part: 'waist' },
      pointer: `${wearer.pointer}/waist`,
      numbers: { shortMm },
    });
  }
  return findings;
}

function inseamFindings({ after, plan }: Drawn): Finding[] {
  const findings: Finding[] = [];
  for (const role of ROLES) {
    const { taper, hemInseam } = plan[role];
    if (distance(taper, hemInseam) === 0) continue;
    const { arms } = fairCubic(plan.fork, plan.leaving, taper, direction(taper, hemInseam));
    const place = { piece: role, part: 'inseam' } as const;
    if (arms === undefined) {
      findings.push({
        code: 'INSEAM_INFLECTS',
        level: 'warning',
        message: `The ${role} inseam bends both ways between fork and taper level.`,
        action: 'Ask for a larger drop or a narrower hem, or look at the curve on the proof before cutting.',
        place,
      });
    }
    const [thigh] = edgesOf(after[role], 'inseam');
    const { min, max } = curvatureRange(thigh.curve, CURVATURE_SAMPLES);
    const radiusMm = 1 / Math.max(-min, max, Number.MIN_VALUE);
    if (radiusMm < INSEAM_RADIUS_MM_MIN) {
      findings.push({
        code: 'INSEAM_TIGHT',
        level: 'warning',
        message: `The ${role} inseam turns with a radius of ${mm(radiusMm)} near the fork.`,
        action: 'Clip the allowance there, or ask for a larger drop.',
        place,
        numbers: { radiusMm },
      });
    }
  }
  return findings;
}

function riseFindings({ before, after, plan, parameters }: Drawn): Finding[] {
  const findings: Finding[] = [];
  const oldFork = cornersOf(before.front).fork;
  if (plan.fork.x <= oldFork.x) {
    findings.push({
      code: 'FRONT_FORK_NOT_WIDER',
      level: 'warning',
      message: `The new fork lies ${mm(oldFork.x - plan.fork.x)} nearer the crease than the old front fork.`,
      action: 'Ask for a larger drop; this one narrows the front thigh.',
      place: { piece: 'front', part: 'fork', at: plan.fork },
    });
  }
  const leansDeg = ROLES.map((role) => (plan[role].leanRad * 180) / Math.PI);
  if (Math.max(...leansDeg) > NEAR_BIAS_DEG) {
    findings.push({
      code: 'RISE_NEAR_BIAS',
      level: 'info',
      message: `The centre seams lean ${leansDeg[0].toFixed(0)} degrees in front and ${leansDeg[1].toFixed(0)} at the back, near the bias.`,
      action: 'Stay-tape the centre seams before sewing.',
      place: { part: 'rise' },
      numbers: { frontLeanDeg: leansDeg[0], backLeanDeg: leansDeg[1] },
    });
  }
  if (parameters.frontRiseExtensionMm > parameters.backRiseExtensionMm) {
    findings.push({
      code: 'FRONT_EXTENSION_LARGER',
      level: 'info',
      message: `The front rise is extended by ${mm(parameters.frontRiseExtensionMm)}, the back by ${mm(parameters.backRiseExtensionMm)}.`,
      action: 'Nothing to do when meant so; for a long seat the back usually gets the more.',
      place: { part: 'rise' },
    });
  }
  if (ROLES.every((role) => edgesOf(after[role], 'rise').every(({ curve }) => curve.kind === 'line'))) {
    findings.push({
      code: 'RISES_STRAIGHT',
      level: 'info',
      message: 'Both centre seams are straight from waist to fork.',
      action: 'Sew a toile where the cloth does not drape; a stiff cloth folds at the fork.',
      place: { part: 'rise' },
    });
  }
  return findings;
}

function hemFindings({ after }: Drawn): Finding[] {
  const offMm = ROLES.map((role) => {
    const { hemInseam, hemOutseam } = cornersOf(after[role]);
    return (hemInseam.x + hemOutseam.x) / 2;
  });
  if (Math.max(...offMm.map(Math.abs)) <= HEM_OFF_CREASE_MM) return [];
  return [
    {
      code: 'HEM_OFF_CREASE',
      level: 'info',
      message: `The middle of the hem lies ${mm(Math.abs(offMm[0]))} off the crease in front and ${mm(Math.abs(offMm[1]))} at the back.`,
      action: 'Do not press a crease; the grain is kept.',
      place: { part: 'hem' },
      numbers: { frontOffMm: offMm[0], backOffMm: offMm[1] },
    },
  ];
}

/** What the back gives up because its inseam becomes the front's. */
function lostFullness({ before, after, parameters, levels, plan }: Drawn): Finding[] {
  if (parameters.inseamTruing !== 'copy-front') return [];
  const calfMm = (before.levels.knee + levels.hemMm) / 2;
  const reaches = calfMm > before.levels.hem;
  const inseamAt = (piece: Piece): number => seamAtLevel(piece, 'inseam', calfMm)?.point.x ?? 0;
  const calfLostMm = reaches ? inseamAt(before.back) - inseamAt(after.back) : 0;
  const stepMm = cornersOf(before.back).hemInseam.x - cornersOf(before.front).hemInseam.x;
  if (Math.max(calfLostMm, stepMm) <= BAND_SHORT_MM) return [];
  return [
    {
      code: 'BACK_FULLNESS_LOST',
      level: 'info',
      message: `With the front's inseam the back goes in ${mm(Math.max(0, calfLostMm))} at the calf and ${mm(stepMm + plan.hemInMm)} at the hem.`,
      action: 'Check the calf ease on the proof; "inseamTruing": "keep-back" keeps the back\'s own width.',
      place: { piece: 'back', part: 'inseam' },
      numbers: { calfLostMm, hemLostMm: stepMm + plan.hemInMm },
    },
  ];
}

/** How many times as long the front rise has become, for the fly that grows with it. */
export function riseGrowth(before: Block, after: Block, toleranceMm: number): number {
  return seamLengthMm(after.front, 'rise', toleranceMm) / seamLengthMm(before.front, 'rise', toleranceMm);
}
