import { endOf, startOf, type Point } from '#geometry';
import { curvesOf, edgesOf, inDegrees, inMm, longerBy, type Block, type Finding, type Piece } from '#pattern';
import { cornerPoint } from './corner-checks.js';
import { PART } from './corner-fixes.js';
import { lonelyNotches } from './notch-checks.js';
import type { Walks } from './seam-checks.js';
import type {
  BalanceLineCheck,
  CornerCheck,
  CornerName,
  OutlineCheck,
  SeamCheck,
  TruingReport,
} from './truing-report.js';
import type { TruingRules } from './truing-rules.js';
import { waistKinks, type WaistKink } from './waist-kinks.js';

type Measured = Omit<TruingReport, 'findings' | 'sewable'>;

/** Every check that is off as a finding, and what is worth a look though it decides nothing. */
export function reportFindings(
  block: Block,
  measured: Measured,
  walks: Walks,
  rules: TruingRules,
): Finding[] {
  return [
    ...measured.seams.filter(({ state }) => state === 'off').map((seam) => seamOff(block, seam)),
    ...measured.seams.flatMap((seam) => notchesOff(seam)),
    ...(['inseam', 'outseam'] as const).flatMap((seam) => notchesAlone(block, seam, walks)),
    ...measured.corners.filter(({ state }) => state === 'off').map((corner) => cornerOff(block, corner)),
    ...[block.front, block.back].flatMap((piece) =>
      waistKinks(piece, rules).map((kink) => waistKinked(piece, kink, rules)),
    ),
    ...measured.balanceLines.filter(({ state }) => state === 'off').map((line) => lineOff(line, rules)),
    ...measured.outline.flatMap(outlineFaults),
  ];
}

const SEAM_CODES: Readonly<Record<SeamCheck['seam'], string>> = {
  inseam: 'INSEAM_MISMATCH',
  outseam: 'OUTSEAM_MISMATCH',
  'centre-front': 'CENTRE_FRONT_MISMATCH',
  'centre-back': 'CENTRE_BACK_MISMATCH',
  waist: 'WAIST_SEAM_LONGER',
  dart: 'DART_LEGS_UNEQUAL',
};

function seamOff(block: Block, seam: SeamCheck): Finding {
  const { first, second, difference, allowed, fix } = seam;
  const bandLonger = seam.seam === 'waist' && difference < 0;
  return {
    code: bandLonger ? 'WAISTBAND_SHORTER' : SEAM_CODES[seam.seam],
    level: 'stop',
    message: seamMessage(seam),
    action: fix?.words ?? 'Draw the seam anew.',
    place: seamPlace(block, seam),
    numbers: {
      firstMm: first.lengthMm,
      secondMm: second.lengthMm,
      differenceMm: difference,
      allowedMinMm: allowed.min,
      allowedMaxMm: allowed.max,
    },
  };
}

function seamMessage({ seam, first, difference }: SeamCheck): string {
  if (seam === 'waist') return `The waist seam is ${longerBy(difference)} than the band.`;
  if (seam === 'dart') {
    const dart = first.part.replace(', side leg', '');
    return `The centre leg of ${dart} of the ${first.piece} is ${longerBy(difference)} than its side leg.`;
  }
  return `The back ${seam} is ${longerBy(difference)} than the front's.`;
}

function seamPlace(block: Block, { seam, first }: SeamCheck): NonNullable<Finding['place']> {
  if (seam === 'waist') return { part: 'waist' };
  if (seam === 'dart') {
    const piece = first.piece === 'back' ? block.back : block.front;
    const number = Number(first.part.replace(/\D/g, ''));
    return { piece: piece.role, part: 'dart', at: endOf(edgesOf(piece, 'dart')[2 * (number - 1)].curve) };
  }
  const curves = curvesOf(block.back, seam === 'inseam' ? 'inseam' : 'outseam');
  const at = seam === 'inseam' ? startOf(curves[0]) : endOf(curves[curves.length - 1]);
  return { piece: 'back', part: seam, at };
}

function notchesOff({ seam, notches }: SeamCheck): Finding[] {
  return notches
    .filter(({ state }) => state === 'off')
    .map(({ name, difference, allowed, frontFromHemMm, backFromHemMm }) => ({
      code: 'NOTCH_OFF',
      level: 'warning',
      message: `The ${name} notch of the back ${seam} lies ${inMm(Math.abs(difference))} ${difference > 0 ? 'above' : 'below'} its partner, along the seam.`,
      action: 'Set both at the same seam distance from the hem.',
      place: { piece: 'back', part: seam },
      numbers: { frontFromHemMm, backFromHemMm, differenceMm: difference, allowedMm: allowed },
    }));
}

function notchesAlone(block: Block, seam: 'inseam' | 'outseam', walks: Walks): Finding[] {
  return lonelyNotches(block, walks[seam]).map(({ piece, name }) => ({
    code: 'NOTCH_WITHOUT_PARTNER',
    level: 'warning',
    message: `The ${name} notch of the ${piece} ${seam} has no partner on the ${piece === 'front' ? 'back' : 'front'}.`,
    action: 'Set its partner at the same seam distance from the hem, or leave it out.',
    place: { piece, part: seam },
  }));
}

const CORNER_CODES: Readonly<Record<CornerName, string>> = {
  fork: 'FORK_ANGLE',
  sideWaist: 'SIDE_WAIST_ANGLE',
  sideHem: 'SIDE_HEM_ANGLE',
  inseamHem: 'INSEAM_HEM_ANGLE',
  centreFrontWaist: 'CENTRE_FRONT_WAIST_ANGLE',
  centreBackWaist: 'CENTRE_BACK_WAIST_ANGLE',
};

function cornerOff(block: Block, corner: CornerCheck): Finding {
  const { at, sum, target, deviation, allowed, overReach, fix } = corner;
  const overMuch = Math.abs(deviation) <= allowed && overReach !== undefined;
  return {
    code: CORNER_CODES[at],
    level: 'stop',
    message: overMuch
      ? `The ${PART[at]} is square at its point only: over its first millimetres it comes to ${inDegrees(overReach)}.`
      : `The ${PART[at]} comes to ${inDegrees(sum)} once sewn; it should be ${inDegrees(target)}.`,
    action: fix?.words ?? 'Redraw the corner.',
    place: { part: PART[at], at: cornerPoint(block, at) },
    numbers: {
      sumDeg: sum,
      targetDeg: target,
      deviationDeg: deviation,
      allowedDeg: allowed,
      ...(overReach === undefined ? {} : { overReachDeg: overReach }),
    },
  };
}

function waistKinked(piece: Piece, { dart, kinkDeg, at }: WaistKink, rules: TruingRules): Finding {
  return {
    code: 'WAIST_KINK_AT_DART',
    level: 'warning',
    message: `The waist of the ${piece.role} has a kink of ${inDegrees(Math.abs(kinkDeg))} where dart ${dart} is closed.`,
    action: 'Fold the dart shut and redraw the waist across it.',
    place: { piece: piece.role, part: 'waist', at },
    numbers: { kinkDeg, allowedDeg: rules.cornerSumDeg },
  };
}

function lineOff({ line, seam, difference, allowed }: BalanceLineCheck, rules: TruingRules): Finding {
  const offMm = difference ?? 0;
  const stopMm =
    rules.cloth === 'repeat' ? Math.min(rules.levelStopMm, rules.repeatLevelMm) : rules.levelStopMm;
  return {
    code: 'BALANCE_LINE_OFF',
    level: Math.abs(offMm) > stopMm ? 'stop' : 'warning',
    message: `Sewn together, the ${line} line of the back lies ${inMm(Math.abs(offMm))} ${offMm > 0 ? 'below' : 'above'} the front's at the ${seam}.`,
    action: `Match by the notches, set by seam distance from the hem; the ${line} line is a label.`,
    place: { piece: 'back', part: line },
    numbers: { differenceMm: offMm, allowedMm: allowed, stopMm },
  };
}

function outlineFaults(outline: OutlineCheck): Finding[] {
  const { piece } = outline;
  const fault: Fault = (code, level, message, action, at) => ({
    code,
    level,
    message,
    action,
    place: { piece, part: 'outline', ...(at === undefined ? {} : { at }) },
  });
  return [
    ...outline.gaps.map(({ gapMm, at }) =>
      fault(
        'OUTLINE_OPEN',
        'stop',
        `The outline of the ${piece} is open by ${gapMm.toFixed(3)} mm.`,
        'Close it.',
        at,
      ),
    ),
    ...outline.crossings.map((at) =>
      fault(
        'OUTLINE_CROSSES',
        'stop',
        `The outline of the ${piece} meets itself.`,
        'Redraw the edges there.',
        at,
      ),
    ),
    ...(outline.orientation === 'clockwise'
      ? []
      : [
          fault(
            'OUTLINE_REVERSED',
            'stop',
            `The outline of the ${piece} runs counter-clockwise.`,
            'Turn it round.',
          ),
        ]),
    ...cuttingFaults(outline, fault),
  ];
}

type Fault = (code: string, level: Finding['level'], message: string, action: string, at?: Point) => Finding;

/** What sews, but cuts badly. */
function cuttingFaults(outline: OutlineCheck, fault: Fault): Finding[] {
  const { piece } = outline;
  return [
    ...[...outline.doubledPoints, ...outline.shortEdges].map(({ edgeId, at }) =>
      fault(
        'EDGE_SHORT',
        'warning',
        `Edge ${edgeId} of the ${piece} is too short to cut.`,
        'Merge it into its neighbour.',
        at,
      ),
    ),
    ...outline.slivers.map(({ angleDeg, at }) =>
      fault(
        'OUTLINE_SLIVER',
        'warning',
        `The outline of the ${piece} has a corner of ${inDegrees(angleDeg)}.`,
        'Cut the point off.',
        at,
      ),
    ),
  ];
}
