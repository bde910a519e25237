import { DEG } from '#geometry';
import { panelMm, type Targets } from './targets.js';

/** The free parameters of a block, in their fixed order. Angles in degrees, lengths in mm, forks as share of the hip. */
export const PARAMETERS = [
  'forkShift',
  'frontFork',
  'frontLean',
  'frontCentreRaise',
  'frontFullness',
  'frontSide',
  'frontSideRaise',
  'frontDart',
  'backFork',
  'seatAngle',
  'backCentreRaise',
  'backFullness',
  'backSide',
  'backSideRaise',
  'backDart',
  'backForkDrop',
  'backCrease',
  'waistToBack',
  'frontHipLean',
  'backHipLean',
  'sideCornerSplit',
  'depthMove',
] as const;
export type Parameter = (typeof PARAMETERS)[number];
export const INDEX = Object.fromEntries(PARAMETERS.map((name, i) => [name, i])) as Readonly<
  Record<Parameter, number>
>;

/** What a cutter calls each parameter, for findings. */
export const TRADE_WORDS: Readonly<Record<Parameter, string>> = {
  forkShift: 'fork level',
  frontFork: 'front fork extension',
  frontLean: 'centre front lean',
  frontCentreRaise: 'centre front height at the waist',
  frontFullness: 'front crotch curve',
  frontSide: 'front side suppression',
  frontSideRaise: 'front side height at the waist',
  frontDart: 'front dart intake',
  backFork: 'back fork extension',
  seatAngle: 'seat angle',
  backCentreRaise: 'centre back raise',
  backFullness: 'back crotch curve',
  backSide: 'back side suppression',
  backSideRaise: 'back side height at the waist',
  backDart: 'back dart intake',
  backForkDrop: 'back fork drop',
  backCrease: 'back crease position',
  waistToBack: 'waist shared between front and back',
  frontHipLean: 'front side seam lean at the hip',
  backHipLean: 'back side seam lean at the hip',
  sideCornerSplit: 'side corner at the waist',
  depthMove: 'crotch depth ease',
};

/** Groups that may leave the cutter's range, in the order in which they are asked to. */
export type YieldGroup = 'depth' | 'centre-front' | 'centre-back' | 'side' | 'fork-and-seat';

type Range = readonly [lower: number, upper: number];

interface ParameterRule {
  readonly deviation: number;
  /** The cutter's range: the draft stays inside until it cannot. */
  readonly range: Range;
  /** The range after its group has yielded. */
  readonly wide?: Range;
  readonly group?: YieldGroup;
  /** Inside this zone there is no extra cost; outside it grows by one deviation per `width`. */
  readonly comfort?: { readonly zone: Range; readonly width: number };
  /** experimental */
  readonly wall?: { readonly margin: number; readonly scale: number };
}
const E=(n:string,d:number):number=>process.env[n]===undefined?d:Number(process.env[n]);

/**
 * Deviation, range and comfort of every parameter.
 *
 * Source  ranges: common practice, no source, tuned on the bodies of ANSUR II (public survey, 2012). Deviations
 *         and widths are design choices: they say what gives first when the tape leaves a choice.
 */
export const RULES: Readonly<Record<Parameter, ParameterRule>> = {
  forkShift: { deviation: 8, range: [-45, 20] },
  frontFork: { wall:{margin:E('ffm',0.006),scale:E('ffs',0.004)},
    deviation: 0.01,
    range: [0.035, 0.09],
    wide: [0.026, 0.105],
    group: 'fork-and-seat',
    comfort: { zone: [0.042, 0.078], width: 0.006 },
  },
  frontLean: { deviation: 3, range: [-14, 13] },
  frontCentreRaise: { wall:{margin:E('cfm',6),scale:E('cfs',8)},
    deviation: 12,
    range: [-35, 35],
    wide: [-70, 60],
    group: 'centre-front',
    comfort: { zone: [-22, 22], width: 6 },
  },
  frontFullness: { deviation: 0.09, range: [0.38, 0.78], wide:[E('fl',0.34),E('fu',0.82)], group:'depth', comfort:{zone:[-9,9],width:1}, wall:{margin:E('fm',0.04),scale:E('fs',0.03)} },
  frontSide: { wall:{margin:E('sm',4),scale:E('ss',3)},
    deviation: 6,
    range: [-20, 55],
    wide: [-50, 55],
    group: 'side',
    comfort: { zone: [-12, Infinity], width: 4 },
  },
  frontSideRaise: { deviation: 6, range: [-35, 40] },
  frontDart: { deviation: 6, range: [8, 32] },
  backFork: { deviation: 0.018, range: [0.055, 0.215] },
  seatAngle: { wall:{margin:E('sam',1.2),scale:E('sas',0.8)},
    deviation: 4,
    range: [3, 18],
    wide: [1, 35],
    group: 'fork-and-seat',
    comfort: { zone: [4.5, 15.5], width: 1.2 },
  },
  backCentreRaise: { wall:{margin:E('cbm',8),scale:E('cbs',10)},
    deviation: 18,
    range: [0, 80],
    wide: [-30, 130],
    group: 'centre-back',
    comfort: { zone: [12, 62], width: 8 },
  },
  backFullness: { deviation: 0.09, range: [0.38, 0.78], wide:[E('fl',0.34),E('fu',0.82)], group:'depth', comfort:{zone:[-9,9],width:1}, wall:{margin:E('fm',0.04),scale:E('fs',0.03)} },
  backSide: { wall:{margin:E('sm',4),scale:E('ss',3)},
    deviation: 6,
    range: [-20, 55],
    wide: [-50, 55],
    group: 'side',
    comfort: { zone: [-12, Infinity], width: 4 },
  },
  backSideRaise: { deviation: 6, range: [-35, 40] },
  backDart: { deviation: 5, range: [8, 42] },
  backForkDrop: { deviation: 5, range: [-12, 35] },
  backCrease: { deviation: 8, range: [-15, 60] },
  waistToBack: { deviation: 10, range: [-30, 30] },
  frontHipLean: { deviation: 1.2, range: [-5, 5] },
  backHipLean: { deviation: 1.2, range: [-5, 5] },
  sideCornerSplit: { deviation: 3, range: [-12, 14] },
  depthMove: { wall:{margin:E('dm',6),scale:E('ds',12)},
    deviation: 6,
    range: [-20, 20],
    wide: [-25, 30],
    group: 'depth',
    comfort: { zone: [-12, 12], width: 4 },
  },
};

/** How many darts each piece has. */
export interface DartCounts {
  readonly front: 0 | 1;
  readonly back: 0 | 1 | 2;
}

/** Where the search starts and what it is drawn back to: an ordinary block of this waist and hip. */
export interface Nominals {
  readonly values: Float64Array;
  readonly deviations: Float64Array;
}

/**
 * The ordinary block: every parameter at the value a cutter would start from.
 *
 * Source  shares of the waist difference over side, centre and darts: common practice, no source. Where the waist
 *         is wider than the hip panel (a belly), the centre front leans out first and the side after it.
 */
export function nominalsFor(targets: Targets, hipLevelMm: number): Nominals {
  const depthMm = targets.waistLevelMm - hipLevelMm;
  const front = frontSuppression(panelMm(targets.hipMm, 'front') - targets.waistMm / 4, depthMm);
  const back = backSuppression(panelMm(targets.hipMm, 'back') - targets.waistMm / 4, depthMm);
  const values: Readonly<Record<Parameter, number>> = {
    forkShift: -6,
    frontFork: 0.056,
    frontLean: front.leanDeg,
    frontCentreRaise: 0,
    frontFullness: 0.62,
    frontSide: front.sideMm,
    frontSideRaise: 0,
    frontDart: front.dartMm,
    backFork: 0.123,
    seatAngle: back.angleDeg,
    backCentreRaise: 38,
    backFullness: 0.62,
    backSide: back.sideMm,
    backSideRaise: 0,
    backDart: back.dartMm,
    backForkDrop: 6,
    backCrease: 20,
    waistToBack: 0,
    frontHipLean: 0,
    backHipLean: 0,
    sideCornerSplit: 3,
    depthMove: 0,
  };
  const deviations = PARAMETERS.map((name) =>
    name === 'frontLean' && front.belly ? BELLY_LEAN_DEVIATION_DEG : RULES[name].deviation,
  );
  return {
    values: Float64Array.from(PARAMETERS, (name) => values[name]),
    deviations: Float64Array.from(deviations),
  };
}

/** A belly leans the centre front out by anything up to eleven degrees; the prior on it is looser. */
const BELLY_LEAN_DEVIATION_DEG = 4;

/** Under this a dart is not worth sewing; the amount goes to side and centre. */
const FRONT_DART_NOMINAL_MM_MIN = 6;
const BACK_DART_NOMINAL_MM_MIN = 4;
/** Over this one back dart would be a cone; two share it. */
const ONE_BACK_DART_NOMINAL_MM_MAX = 34;

/** The dart counts an ordinary block of these nominals has. */
export function dartCountsFor(nominals: Nominals): DartCounts {
  const front = nominals.values[INDEX.frontDart];
  const back = nominals.values[INDEX.backDart];
  return {
    front: front > FRONT_DART_NOMINAL_MM_MIN ? 1 : 0,
    back: back > ONE_BACK_DART_NOMINAL_MM_MAX ? 2 : back > BACK_DART_NOMINAL_MM_MIN ? 1 : 0,
  };
}

/** The bounds of every parameter for one attempt. */
export function boundsFor(
  darts: DartCounts,
  widened: readonly YieldGroup[],
): { readonly lower: Float64Array; readonly upper: Float64Array } {
  const ranges = PARAMETERS.map((name): Range => {
    const rule = RULES[name];
    if (name === 'frontDart' && darts.front === 0) return [0, 0];
    if (name === 'backDart') return BACK_DART_RANGES[darts.back];
    return rule.wide !== undefined && rule.group !== undefined && widened.includes(rule.group)
      ? rule.wide
      : rule.range;
  });
  return {
    lower: Float64Array.from(ranges, ([lower]) => lower),
    upper: Float64Array.from(ranges, ([, upper]) => upper),
  };
}

/** Total back intake by number of darts. One dart never takes more than 42 mm, two never less than 10 each. */
const BACK_DART_RANGES: Readonly<Record<DartCounts['back'], Range>> = { 0: [0, 0], 1: [8, 42], 2: [20, 84] };

interface FrontSuppression {
  readonly leanDeg: number;
  readonly sideMm: number;
  readonly dartMm: number;
  readonly belly: boolean;
}

function frontSuppression(differenceMm: number, depthMm: number): FrontSuppression {
  if (differenceMm < 0) {
    const leanDeg = Math.max(-11, -Math.atan((0.6 * -differenceMm) / depthMm) / DEG);
    return { leanDeg, sideMm: -Math.min(15, 0.4 * -differenceMm), dartMm: 0, belly: true };
  }
  const leanDeg = Math.min(4, Math.atan((0.15 * differenceMm) / depthMm) / DEG);
  const sideMm = Math.min(28, 0.45 * differenceMm);
  return { leanDeg, sideMm, dartMm: differenceMm - sideMm - depthMm * Math.tan(leanDeg * DEG), belly: false };
}

function backSuppression(
  differenceMm: number,
  depthMm: number,
): { readonly angleDeg: number; readonly sideMm: number; readonly dartMm: number } {
  const wantedDeg = Math.atan((0.45 * differenceMm) / depthMm) / DEG;
  const angleDeg = Math.min(15, Math.max(5, wantedDeg));
  const insetMm = depthMm * Math.tan(angleDeg * DEG);
  const sideMm =
    differenceMm > 0 ? 0.2 * differenceMm : Math.min(0, Math.max(-15, 0.5 * (differenceMm - insetMm)));
  return { angleDeg, sideMm, dartMm: differenceMm - insetMm - sideMm };
}
