import type { PieceRole } from '#pattern';
import type { FittingLimits, FittingSettings, FittingWeights } from './fitting-settings.js';

/** One alteration the fit may use, as an unknown of the solver. Zero leaves the block as it is. */
export interface Change {
  readonly name: string;
  readonly piece: PieceRole | undefined;
  /** Where, in trade words. */
  readonly part: string;
  /** The operation for a positive and for a negative amount. */
  readonly words: readonly [more: string, less: string];
  readonly unit: 'mm' | 'deg';
  /** An ordinary change of it: what costs as much as an ordinary change of any other. 0 leaves it alone. */
  readonly deviation: (weights: FittingWeights) => number;
  /** The setting that bounds it. */
  readonly limit: keyof FittingLimits;
  /** Made only where the block's line has to be kept: it reaches no measure by itself. */
  readonly forLine?: true;
}

/** Names in the order in which the trade makes the alterations, and in which the record tells them. */
export const CHANGE_NAMES = [
  'depth',
  'forkLevel',
  'backForkDrop',
  'frontCrotchCurve',
  'backCrotchCurve',
  'hipFrontSide',
  'hipBackSide',
  'hipCentreFront',
  'hipCentreBack',
  'frontFork',
  'backFork',
  'kneeFrontInseam',
  'kneeBackInseam',
  'kneeFrontOutseam',
  'kneeBackOutseam',
  'hemFrontInseam',
  'hemBackInseam',
  'hemFrontOutseam',
  'hemBackOutseam',
  'waistFrontSide',
  'waistBackSide',
  'waistCentreFront',
  'waistCentreBack',
  'frontDarts',
  'backDarts',
  'belly',
  'seat',
  'frontSideHeight',
  'backSideHeight',
  'centreFrontHeight',
  'centreBackHeight',
  'frontDartLength',
  'backDartLength',
  'frontWaistRun',
  'backWaistRun',
] as const;
export type ChangeName = (typeof CHANGE_NAMES)[number];

const LET_OUT = ['let out', 'take in'] as const;
const RAISE = ['raise waist', 'lower waist'] as const;

/** Ordinary changes of what no weight shares, in mm and degrees. Design choices, after the from-body draft's. */
const DEVIATION = {
  depth: 5,
  forkLevel: 8,
  forkDrop: 5,
  curve: 12,
  side: 6,
  centreFront: 8,
  centreBack: 4,
  seat: 3,
  belly: 1.2,
  dartLength: 10,
  waistRun: 2,
} as const;

/** Ordinary change of one seam at one level where all weights are alike, in mm; a design choice. */
const SEAM_MM = 10;
const FORK_MM = 8;
const DART_MM = 8;

export const CHANGES: Readonly<Record<ChangeName, Change>> = {
  depth: whole('depth', 'fork', ['lower fork', 'raise fork'], DEVIATION.depth, 'depthMm'),
  forkLevel: whole(
    'forkLevel',
    'fork',
    ['raise fork for inseam', 'lower fork for inseam'],
    DEVIATION.forkLevel,
    'riseMm',
  ),
  backForkDrop: fixed(
    'backForkDrop',
    'back',
    'fork',
    ['raise fork', 'lower fork'],
    DEVIATION.forkDrop,
    'riseMm',
  ),
  frontCrotchCurve: fixed(
    'frontCrotchCurve',
    'front',
    'start of the crotch curve',
    ['raise', 'lower'],
    DEVIATION.curve,
    'riseMm',
  ),
  backCrotchCurve: fixed(
    'backCrotchCurve',
    'back',
    'start of the crotch curve',
    ['raise', 'lower'],
    DEVIATION.curve,
    'riseMm',
  ),
  hipFrontSide: hip('hipFrontSide', 'front', 'outseam at the hip', 'frontSide'),
  hipBackSide: hip('hipBackSide', 'back', 'outseam at the hip', 'backSide'),
  hipCentreFront: hip('hipCentreFront', 'front', 'centre front at the hip', 'centreFront'),
  hipCentreBack: hip('hipCentreBack', 'back', 'centre back at the hip', 'centreBack'),
  frontFork: fork('frontFork', 'front'),
  backFork: fork('backFork', 'back'),
  kneeFrontInseam: leg('kneeFrontInseam', 'knee', 'front', 'inseam', 'frontInseam'),
  kneeBackInseam: leg('kneeBackInseam', 'knee', 'back', 'inseam', 'backInseam'),
  kneeFrontOutseam: leg('kneeFrontOutseam', 'knee', 'front', 'outseam', 'frontOutseam'),
  kneeBackOutseam: leg('kneeBackOutseam', 'knee', 'back', 'outseam', 'backOutseam'),
  hemFrontInseam: leg('hemFrontInseam', 'hem', 'front', 'inseam', 'frontInseam'),
  hemBackInseam: leg('hemBackInseam', 'hem', 'back', 'inseam', 'backInseam'),
  hemFrontOutseam: leg('hemFrontOutseam', 'hem', 'front', 'outseam', 'frontOutseam'),
  hemBackOutseam: leg('hemBackOutseam', 'hem', 'back', 'outseam', 'backOutseam'),
  waistFrontSide: waist('waistFrontSide', 'front', 'outseam at the waist', 'frontSide', LET_OUT, SEAM_MM),
  waistBackSide: waist('waistBackSide', 'back', 'outseam at the waist', 'backSide', LET_OUT, SEAM_MM),
  waistCentreFront: waist(
    'waistCentreFront',
    'front',
    'centre front at the waist',
    'centreFront',
    LET_OUT,
    SEAM_MM,
  ),
  waistCentreBack: waist(
    'waistCentreBack',
    'back',
    'centre back at the waist',
    'centreBack',
    LET_OUT,
    SEAM_MM,
  ),
  frontDarts: waist(
    'frontDarts',
    'front',
    'darts',
    'frontDarts',
    ['take more into', 'release'],
    DART_MM,
    'dartMm',
  ),
  backDarts: waist(
    'backDarts',
    'back',
    'darts',
    'backDarts',
    ['take more into', 'release'],
    DART_MM,
    'dartMm',
  ),
  belly: wedge(
    'belly',
    'front',
    ['slash at the hip line and spread (full belly)', 'slash at the hip line and overlap (flat belly)'],
    DEVIATION.belly,
  ),
  seat: wedge(
    'seat',
    'back',
    ['slash at the hip line and spread (full seat)', 'slash at the hip line and overlap (flat seat)'],
    DEVIATION.seat,
  ),
  frontSideHeight: fixed('frontSideHeight', 'front', 'side waist', RAISE, DEVIATION.side, 'riseMm'),
  backSideHeight: fixed('backSideHeight', 'back', 'side waist', RAISE, DEVIATION.side, 'riseMm'),
  centreFrontHeight: fixed(
    'centreFrontHeight',
    'front',
    'centre front',
    RAISE,
    DEVIATION.centreFront,
    'riseMm',
  ),
  centreBackHeight: fixed('centreBackHeight', 'back', 'centre back', RAISE, DEVIATION.centreBack, 'riseMm'),
  frontDartLength: forLine(
    fixed(
      'frontDartLength',
      'front',
      'length of the darts',
      ['lengthen', 'shorten'],
      DEVIATION.dartLength,
      'riseMm',
    ),
  ),
  backDartLength: forLine(
    fixed(
      'backDartLength',
      'back',
      'length of the darts',
      ['lengthen', 'shorten'],
      DEVIATION.dartLength,
      'riseMm',
    ),
  ),
  frontWaistRun: forLine(
    fixed('frontWaistRun', 'front', 'waist over the darts', RAISE, DEVIATION.waistRun, 'riseMm'),
  ),
  backWaistRun: forLine(
    fixed('backWaistRun', 'back', 'waist over the darts', RAISE, DEVIATION.waistRun, 'riseMm'),
  ),
};

type Words = Change['words'];

function forLine(change: Change): Change {
  return { ...change, forLine: true };
}

function fixed(
  name: string,
  piece: PieceRole,
  part: string,
  words: Words,
  sd: number,
  limit: keyof FittingLimits,
): Change {
  return { name, piece, part, words, unit: 'mm', deviation: () => sd, limit };
}

function whole(name: string, part: string, words: Words, sd: number, limit: keyof FittingLimits): Change {
  return { name, piece: undefined, part, words, unit: 'mm', deviation: () => sd, limit };
}

function wedge(name: string, piece: PieceRole, words: Words, sd: number): Change {
  return {
    name,
    piece,
    part: piece === 'front' ? 'belly' : 'seat',
    words,
    unit: 'deg',
    deviation: () => sd,
    limit: 'seatDeg',
  };
}

function hip(name: string, piece: PieceRole, part: string, seam: keyof FittingWeights['hip']): Change {
  const deviation = ({ hip: weights }: FittingWeights): number => shared(weights, seam, SEAM_MM);
  return { name, piece, part, words: LET_OUT, unit: 'mm', deviation, limit: 'seamMm' };
}

function waist(
  name: string,
  piece: PieceRole,
  part: string,
  seam: keyof FittingWeights['waist'],
  words: Words,
  ordinaryMm: number,
  limit: keyof FittingLimits = 'seamMm',
): Change {
  const deviation = ({ waist: weights }: FittingWeights): number => shared(weights, seam, ordinaryMm);
  return { name, piece, part, words, unit: 'mm', deviation, limit };
}

function fork(name: 'frontFork' | 'backFork', piece: PieceRole): Change {
  const deviation = ({ thigh }: FittingWeights): number => shared(thigh, name, FORK_MM);
  return { name, piece, part: 'fork', words: ['extend', 'shorten'], unit: 'mm', deviation, limit: 'seamMm' };
}

function leg(
  name: string,
  girth: 'knee' | 'hem',
  piece: PieceRole,
  part: 'inseam' | 'outseam',
  seam: keyof FittingWeights['knee'],
): Change {
  const deviation = (weights: FittingWeights): number => shared(weights[girth], seam, SEAM_MM);
  return {
    name,
    piece,
    part: `${part} at the ${girth}`,
    words: LET_OUT,
    unit: 'mm',
    deviation,
    limit: 'seamMm',
  };
}

// The least sum of squares under one sum shares it by the squares of the deviations, so these are roots of the weights.
function shared<Seam extends string>(
  weights: Readonly<Record<Seam, number>>,
  seam: Seam,
  ordinaryMm: number,
): number {
  const all = Object.values<number>(weights);
  const mean = all.reduce((sum, weight) => sum + weight, 0) / all.length;
  return ordinaryMm * Math.sqrt(weights[seam] / mean);
}

/** The bounds and deviations of all changes, in the order of `CHANGE_NAMES`; a change nobody may use has no deviation. */
export function changeLimits({ weights, limits, keep }: FittingSettings): {
  readonly deviation: number[];
  readonly limit: number[];
} {
  return {
    deviation: CHANGE_NAMES.map((name) => {
      const { forLine: isForLine, deviation } = CHANGES[name];
      return isForLine === true && keep !== 'line' ? 0 : deviation(weights);
    }),
    limit: CHANGE_NAMES.map((name) => limits[CHANGES[name].limit]),
  };
}

export const CHANGE_INDEX = Object.fromEntries(CHANGE_NAMES.map((name, i) => [name, i])) as Readonly<
  Record<ChangeName, number>
>;
