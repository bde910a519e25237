import { inMm, bySeriousness, type Finding } from '#pattern';
import { characterChange, CHARACTER_SHARE_MAX } from './character.js';
import { CHANGES, type ChangeName } from './changes.js';
import { EQUATIONS, type Equation, type FittingTargets } from './equations.js';
import type { FittingLimits, FittingSettings } from './fitting-settings.js';
import type { RedrawnBlock } from './redraw.js';
import type { FitSolution, FitTask } from './solve-fit.js';
import { amountOf } from './stations.js';

/** A miss of this much is no miss: half a millimetre is what a tape shows. */
export const REACHED_MM = 0.5;

export interface MissWords {
  readonly measure: string;
  readonly retake: string;
  /** The field of `ease` that changes the target. */
  readonly ease: string | undefined;
}

export const MISSED: Readonly<Record<Equation, MissWords>> = {
  waist: { measure: 'waist girth', retake: 'waist girth', ease: 'waist' },
  hip: { measure: 'hip girth', retake: 'hip girth', ease: 'hip' },
  thigh: { measure: 'thigh girth', retake: 'thigh girth', ease: 'thigh' },
  knee: { measure: 'knee girth', retake: 'knee girth and calf girth', ease: 'knee' },
  hem: { measure: 'hem girth', retake: 'heel girth', ease: 'hem' },
  totalRise: {
    measure: 'front and back rise',
    retake: 'total crotch length and waist height',
    ease: 'backRise',
  },
  inseamFront: { measure: 'front inseam', retake: 'inside leg length', ease: 'depth' },
  inseamBack: { measure: 'back inseam', retake: 'inside leg length', ease: 'depth' },
  outseamFront: { measure: 'front outseam', retake: 'waist height and outside leg length', ease: undefined },
  outseamBack: { measure: 'back outseam', retake: 'waist height and outside leg length', ease: undefined },
};

/** What one setting would have to be for every length to be reached, when there is such a value. */
export interface Wanted {
  readonly setting: keyof FittingLimits;
  readonly value: number;
}

/**
 * What the block could not give: one stop for each measure that stays short or long, with the setting that would let it
 * pass. The pieces are drawn as near as the limits allow, to be looked at.
 */
export function missFindings(
  solution: FitSolution,
  wanted: readonly Wanted[] | undefined,
  isMissed: (name: Equation, missMm: number) => boolean,
): Finding[] {
  return EQUATIONS.flatMap((name, i): Finding[] => {
    const missMm = solution.errors[i];
    if (!isMissed(name, missMm)) return [];
    const { measure, retake, ease } = MISSED[name];
    const side = missMm < 0 ? 'short of' : 'over';
    const held = solution.held.map(partInWords).join(', ');
    return [
      {
        code: 'BLOCK_SHORT_OF_BODY',
        level: 'stop',
        message: `Altered as far as it may be, the ${measure} of the block stays ${inMm(Math.abs(missMm))} ${side} body and ease${held === '' ? '' : `; at the end of their range: ${held}`}.`,
        action: `${settingsInWords(wanted)}, ${ease === undefined ? '' : `change ease.${ease}, `}measure ${retake} again, or fit a block nearer this body's size.`,
        place: { part: name },
        pointer: '/fitting/limits',
        numbers: {
          missMm,
          ...Object.fromEntries((wanted ?? []).map(({ setting, value }) => [setting, value])),
        },
      },
    ];
  });
}

function settingsInWords(wanted: readonly Wanted[] | undefined): string {
  if (wanted === undefined || wanted.length === 0) return 'No limit of the fitting alone would let it pass';
  const each = wanted.map(({ setting, value }) => `fitting.limits.${SETTING_FIELD[setting]} to ${value}`);
  return `Set ${each.join(' and ')}`;
}

/** The field of a request behind each limit. */
export const SETTING_FIELD: Readonly<Record<keyof FittingLimits, string>> = {
  seamMm: 'seam',
  riseMm: 'rise',
  depthMm: 'depth',
  dartMm: 'dart',
  seatDeg: 'seatAngle',
};

export function partInWords(name: ChangeName): string {
  const { piece, part } = CHANGES[name];
  return piece === undefined ? part : `${piece} ${part}`;
}

/** At the end of its range, and all the same reached: for whoever signs. */
export function limitFindings({ held, solved }: FitSolution): Finding[] {
  if (!solved || held.length === 0) return [];
  return [
    {
      code: 'AT_LIMIT',
      level: 'warning',
      message: `At the end of its range: ${held.map(partInWords).join(', ')}.`,
      action:
        'Look at the proof before cutting; a measure a little further out could not be fitted with these limits.',
      numbers: { count: held.length },
    },
  ];
}

/** Moves beyond these are said, as for a drafted block; see there. */
const SPLIT_MOVE_MM_MAX = 20;
const DEPTH_NOTE_MM = 10;
const DEPTH_MOVE_MM_MAX = 20;

export function yieldFindings(splitMoveMm: number, depthMoveMm: number): Finding[] {
  const findings: Finding[] = [];
  if (Math.abs(splitMoveMm) > SPLIT_MOVE_MM_MAX) {
    const longer = splitMoveMm > 0 ? 'front' : 'back';
    findings.push({
      code: 'SPLIT_MOVED',
      level: 'warning',
      message: `The ${longer} rise is ${inMm(Math.abs(splitMoveMm))} longer than taped and the other shorter by the same; the total is exact.`,
      action: 'Measure where the crotch point divides front and back again.',
      place: { part: 'rise' },
      numbers: { splitMoveMm },
    });
  }
  if (Math.abs(depthMoveMm) > DEPTH_NOTE_MM) {
    const far = Math.abs(depthMoveMm) > DEPTH_MOVE_MM_MAX;
    findings.push({
      code: 'DEPTH_MOVED',
      level: far ? 'warning' : 'info',
      message: `The fork hangs ${inMm(Math.abs(depthMoveMm))} ${depthMoveMm > 0 ? 'lower' : 'higher'} than the ordered crotch depth: the crotch length is too ${depthMoveMm > 0 ? 'long' : 'short'} for that depth.`,
      action: far
        ? 'Measure inside leg, waist height and crotch length again.'
        : `Nothing to do; the inseam is ${depthMoveMm > 0 ? 'shorter' : 'longer'} by as much.`,
      place: { part: 'fork' },
      numbers: { depthMoveMm },
    });
  }
  return findings;
}

/** Beyond this it is another line. */
const CHARACTER_SHARE_FAR = 0.5;

/** A curve that had to leave the block's line, by name. */
export interface ChangedLine {
  readonly piece: 'front' | 'back';
  readonly edgeId: string;
  readonly line: string;
  readonly share: number;
  readonly newBend: boolean;
}

/** Every curve of the block, with how much of its character it lost. */
export function changedLines({ ready }: FitTask, drawn: RedrawnBlock): ChangedLine[] {
  return (['front', 'back'] as const).flatMap((piece) =>
    ready[piece].strands.flatMap(({ edge }, i): ChangedLine[] => {
      if (edge.curve.kind === 'line') return [];
      const { share, newBend } = characterChange(edge.curve, drawn[piece].curves[i]);
      return [
        { piece, edgeId: edge.id, line: lineName(ready[piece].strands, i, ready.heights), share, newBend },
      ];
    }),
  );
}

type Strands = FitTask['ready']['front']['strands'];

export function lineName(strands: Strands, i: number, { knee, hip }: FitTask['ready']['heights']): string {
  const { role, curve } = strands[i].edge;
  if (role === 'rise')
    return strands[i + 1]?.edge.role === 'inseam' || strands[i].smooth ? 'crotch curve' : 'rise';
  if (role === 'waist') return 'waist';
  const end = curve.kind === 'cubic' ? curve.p3 : curve.p1;
  const middle = (curve.p0.y + end.y) / 2;
  if (role === 'outseam')
    return middle > hip ? 'hip to waist' : middle > knee ? 'hip to knee' : 'outseam below the knee';
  return middle > knee ? 'inseam above the knee' : 'inseam below the knee';
}

/** The curves that lost more of their character than a shop would take for its own line, in one finding. */
export function lineFindings(lines: readonly ChangedLine[]): Finding[] {
  const changed = lines.filter(({ share, newBend }) => share > CHARACTER_SHARE_MAX || newBend);
  if (changed.length === 0) return [];
  const each = changed.map(({ piece, line, share, newBend }) => {
    const bends = newBend ? ' and bends both ways' : '';
    return `${piece} ${line} (${Math.round(100 * share)} %${bends})`;
  });
  const far = changed.some(({ share }) => share > CHARACTER_SHARE_FAR);
  return [
    {
      code: 'LINE_CHANGED',
      level: far ? 'warning' : 'info',
      message: `To reach this body these curves left the block's own line by more than ${Math.round(100 * CHARACTER_SHARE_MAX)} % of their bend: ${each.join(', ')}.`,
      action: far
        ? 'Look at the proof before cutting: this is hardly the block any more. Fit one nearer this body, or have it drafted from the body.'
        : 'Compare before and after on the proof; a block nearer this body keeps its line better.',
      numbers: { count: changed.length },
    },
  ];
}

/** What each limit would have to be for the changes of a solution with wider ones, rounded up to whole numbers. */
export function wantedLimits(
  wide: FitSolution,
  { limits }: FittingSettings,
  names: readonly ChangeName[],
): Wanted[] {
  const settings = ['seamMm', 'riseMm', 'depthMm', 'seatDeg'] as const;
  return settings.flatMap((setting): Wanted[] => {
    const used = names
      .filter((name) => CHANGES[name].limit === setting)
      .map((name) => Math.abs(wide.amounts[amountOf(name)]));
    const value = Math.ceil(Math.max(0, ...used));
    return value > limits[setting] ? [{ setting, value }] : [];
  });
}

/** Why a body's levels cannot be a block's. */
export function levelFindings(targets: FittingTargets): Finding[] {
  const rows = [
    ['knee', targets.kneeLevelMm, 'hem', targets.hemLevelMm, 'knee height'],
    ['crotch line', targets.crotchLevelMm, 'knee', targets.kneeLevelMm, 'inside leg length and knee height'],
    [
      'waist',
      targets.waistLevelMm,
      'crotch line',
      targets.crotchLevelMm,
      'waist height and inside leg length',
    ],
  ] as const;
  return bySeriousness(
    rows.flatMap(([above, aboveMm, below, belowMm, retake]): Finding[] => {
      const apartMm = aboveMm - belowMm;
      if (apartMm >= LEVELS_APART_MM) return [];
      return [
        {
          code: 'LEVELS_TOO_NEAR',
          level: 'stop',
          message: `The ${above} of this body would lie ${inMm(apartMm)} above its ${below}; ${LEVELS_APART_MM - apartMm > 0 ? inMm(LEVELS_APART_MM - apartMm) : ''} more are needed to fit a block.`,
          action: `Measure ${retake} again, or change ease.depth.`,
          place: { part: above },
          numbers: { apartMm, neededMm: LEVELS_APART_MM },
        },
      ];
    }),
  );
}

/** Nearer than this, two levels leave no room for the seams between them; a design choice. */
const LEVELS_APART_MM = 80;
