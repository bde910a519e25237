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

export type Range = readonly [lower: number, upper: number];
export const ANYWHERE: Range = [-Infinity, Infinity];

/** The ends of an ordinary range, and how steeply leaving it costs. */
interface Wall {
  /** What a cutter calls ordinary. */
  readonly ordinary: Range;
  /** The climb begins this far inside the range. */
  readonly margin: number;
  /** One `scale` past the foot costs one deviation, two cost four: a range is left by a little or for a good reason. */
  readonly scale: number;
}

interface ParameterRule {
  readonly deviation: number;
  /** The draft never leaves these. */
  readonly bounds: Range;
  /** Inside this zone there is no extra cost; outside it grows by one deviation per `width`. */
  readonly comfort?: { readonly zone: Range; readonly width: number };
  readonly wall?: Wall;
}

/** Where a wall begins to rise. */
export function footOf({ ordinary: [lower, upper], margin }: Wall): Range {
  return [lower + margin, upper - margin];
}

const FULLNESS: ParameterRule = {
  deviation: 0.09,
  bounds: [0.34, 0.82],
  wall: { ordinary: [0.38, 0.78], margin: 0.04, scale: 0.03 },
};

const SIDE: ParameterRule = {
  deviation: 6,
  bounds: [-50, 55],
  comfort: { zone: [-12, Infinity], width: 4 },
  wall: { ordinary: [-20, Infinity], margin: 4, scale: 5 },
};

/**
 * Deviation, bounds, comfort and wall of every parameter.
 *
 * The walls stand in for an order of yielding: where measures ask for more than an ordinary block has, the split and
 * the depth give first, then the height of the waist at the centre, then lean and side, last fork and seat angle. All
 * of it in one problem, so that a measure a little larger moves the block by a little: rows of bounds that widen one
 * after another moved a corner by up to 26 mm where the row changed.
 *
 * Source  ranges: common practice, no source. Deviations, widths and walls are design choices, picked on the bodies of
 *         even rows of ANSUR II (public survey, 2012) and checked on the odd ones: docs/bench/drafting.md.
 */
export const RULES: Readonly<Record<Parameter, ParameterRule>> = {
  forkShift: { deviation: 8, bounds: [-45, 20] },
  frontFork: {
    deviation: 0.01,
    bounds: [0.026, 0.105],
    comfort: { zone: [0.042, 0.078], width: 0.006 },
    wall: { ordinary: [0.035, 0.09], margin: 0.006, scale: 0.006 },
  },
  frontLean: {
    deviation: 3,
    bounds: [-20, 16],
    wall: { ordinary: [-14, 13], margin: 2, scale: 3 },
  },
  frontCentreRaise: {
    deviation: 12,
    bounds: [-70, 60],
    comfort: { zone: [-22, 22], width: 6 },
    wall: { ordinary: [-35, 35], margin: 6, scale: 9 },
  },
  frontFullness: FULLNESS,
  frontSide: SIDE,
  frontSideRaise: { deviation: 6, bounds: [-35, 40] },
  frontDart: { deviation: 6, bounds: [8, 32] },
  backFork: { deviation: 0.018, bounds: [0.055, 0.215] },
  seatAngle: {
    deviation: 4,
    bounds: [1, 35],
    comfort: { zone: [4.5, 15.5], width: 1.2 },
    wall: { ordinary: [3, 18], margin: 1.2, scale: 1.5 },
  },
  backCentreRaise: {
    deviation: 18,
    bounds: [-30, 130],
    comfort: { zone: [12, 62], width: 8 },
    wall: { ordinary: [0, 80], margin: 8, scale: 11 },
  },
  backFullness: FULLNESS,
  backSide: SIDE,
  backSideRaise: { deviation: 6, bounds: [-35, 40] },
  backDart: { deviation: 5, bounds: [8, 42] },
  backForkDrop: { deviation: 5, bounds: [-12, 35] },
  backCrease: { deviation: 8, bounds: [-15, 60] },
  waistToBack: { deviation: 10, bounds: [-30, 30] },
  frontHipLean: { deviation: 1.2, bounds: [-5, 5] },
  backHipLean: { deviation: 1.2, bounds: [-5, 5] },
  sideCornerSplit: {
    deviation: 3,
    bounds: [-20, 18],
    wall: { ordinary: [-12, 14], margin: 2, scale: 3 },
  },
  depthMove: {
    deviation: 6,
    bounds: [-25, 30],
    comfort: { zone: [-12, 12], width: 4 },
    wall: { ordinary: [-20, 20], margin: 6, scale: 12 },
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

/** The bounds of every parameter for these darts. */
export function boundsFor(darts: DartCounts): { readonly lower: Float64Array; readonly upper: Float64Array } {
  const ranges = PARAMETERS.map((name): Range => {
    if (name === 'frontDart' && darts.front === 0) return [0, 0];
    if (name === 'backDart') return BACK_DART_RANGES[darts.back];
    return RULES[name].bounds;
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
