import type { Finding } from '#pattern';
import { EQUATIONS, type Equation } from './equations.js';
import { INDEX, PARAMETERS, TRADE_WORDS, type Parameter } from './parameters.js';
import { remedyFor, type Remedy } from './remedy.js';
import { blockShortfall, type SolvedBlock, type UnsolvedBlock } from './solve-block.js';
import type { DraftingMeasures, Ease, Targets } from './targets.js';
import type { Invalidity } from './validity.js';
import type { YieldLimits } from './yielding.js';

interface EquationWords {
  readonly code: string;
  readonly length: string;
  readonly retake: string;
  /** What of the ease may let it pass, the likeliest first. */
  readonly settings: readonly Remedy['setting'][];
}

const WORDS: Readonly<Record<Equation, EquationWords>> = {
  thigh: {
    code: 'THIGH_NOT_REACHED',
    length: 'thigh girth',
    retake: 'thigh girth and hip girth',
    settings: ['thigh', 'hip'],
  },
  inseamFront: {
    code: 'INSEAM_NOT_REACHED',
    length: 'front inseam',
    retake: 'inside leg length and knee height',
    settings: ['depth'],
  },
  inseamBack: {
    code: 'INSEAM_NOT_REACHED',
    length: 'back inseam',
    retake: 'inside leg length and knee height',
    settings: ['depth'],
  },
  outseamFront: {
    code: 'OUTSEAM_NOT_REACHED',
    length: 'front outseam',
    retake: 'outside leg length and waist height',
    settings: ['depth', 'hip'],
  },
  outseamBack: {
    code: 'OUTSEAM_NOT_REACHED',
    length: 'back outseam',
    retake: 'outside leg length and waist height',
    settings: ['depth', 'hip'],
  },
  waistFront: {
    code: 'WAIST_NOT_REACHED',
    length: 'front waist',
    retake: 'waist girth and hip girth',
    settings: ['waist', 'hip'],
  },
  waistBack: {
    code: 'WAIST_NOT_REACHED',
    length: 'back waist',
    retake: 'waist girth and hip girth',
    settings: ['waist', 'hip'],
  },
  totalRise: {
    code: 'CROTCH_LENGTH_NOT_REACHED',
    length: 'crotch length',
    retake: 'total crotch length and waist height',
    settings: ['backRise', 'frontRise', 'depth'],
  },
};

const SHAPE_WORDS: Readonly<Record<Invalidity, string>> = {
  NOT_FINITE: 'no outline can be drawn',
  CROTCH_CORNER_HOOKED: 'the fork would lie above the hip line',
  CROTCH_INFLECTS: 'the crotch curve would bend both ways',
  CROTCH_TIGHT: 'the crotch curve would be tighter than a 12 mm radius',
  INSEAM_INFLECTS: 'the inseam would bend both ways',
  INSEAM_LEANS: 'the inseam would lean more than 40 degrees',
  HIP_CURVE_INFLECTS: 'the hip curve would bend both ways',
  WAIST_WAVES: 'the waist line would be S-shaped by more than 2 mm',
  WAIST_TIGHT: 'the waist line would be tighter than a 60 mm radius',
  DART_OUT_OF_RANGE: 'a dart would be too small, too large or outside its piece',
  SIDE_LEANS: 'the side seam would lean more than 35 degrees',
};

/** Errors this small are not what stands in the way. */
const REACHED_MM = 0.5;

/** A body that was refused, and under what. */
export interface RefusedOrder {
  readonly body: DraftingMeasures;
  readonly ease: Ease;
  readonly targets: Targets;
  readonly limits: YieldLimits;
}

/**
 * Why no block can be drawn for these targets, in one stop finding: the length, by how much, what to measure again, and
 * the ease that would let it pass, where one does.
 *
 * The lengths that cannot be reached are found by letting all of them give and asking for the smallest sum of
 * squares; the one that misses most is named, with the parameters that have run out.
 */
export function refusalFinding(order: RefusedOrder, unsolved: UnsolvedBlock): Finding {
  const { blocking, shortfall: missMm, held } = blockShortfall(order.targets);
  const exhausted = PARAMETERS.filter((name) => held[INDEX[name]] !== 0 && !name.endsWith('Dart'));
  if (!(Math.abs(missMm) > REACHED_MM)) return shapeRefusal(order, unsolved);
  const words = WORDS[EQUATIONS[blocking]];
  const remedy = remedyFor(order.body, order.ease, order.limits, words.settings);
  return {
    code: words.code,
    level: 'stop',
    message: `No block can be drawn: the ${words.length} misses its target by ${Math.abs(missMm).toFixed(1)} mm at the best${atTheEnd(exhausted)}.`,
    action: actionFor(words.retake, remedy),
    numbers: { missMm, ...numbersOf(remedy) },
  };
}

function actionFor(retake: string, remedy: Remedy | undefined): string {
  if (remedy === undefined)
    return `Measure ${retake} again: no ease of one measure lets a block be drawn, so they do not go together.`;
  const { setting, fromMm, toMm } = remedy;
  return `Measure ${retake} again, or order "ease.${setting}" ${toMm} mm instead of ${fromMm}: with that a block can be drawn.`;
}

function numbersOf(remedy: Remedy | undefined): Readonly<Record<string, number>> {
  return remedy === undefined ? {} : { easeMm: remedy.toMm, moreEaseMm: remedy.toMm - remedy.fromMm };
}

/**
 * Why no block can be drawn within a shop's limits, where one can be without them: each limit that is in the way, by how
 * much, and what it would have to be. Whole millimetres, rounded up, so that the limits named are enough.
 */
export function limitFindings(targets: Targets, free: SolvedBlock, limits: YieldLimits): Finding[] {
  const moves = [
    {
      name: 'split',
      words: 'the split of the crotch length',
      moveMm: free.shape.front.riseMm - targets.frontRiseMm,
      limitMm: limits.splitMm,
      retake: 'where the crotch point divides front and back',
    },
    {
      name: 'depth',
      words: 'the crotch depth',
      moveMm: free.parameters[INDEX.depthMove],
      limitMm: limits.depthMm,
      retake: 'total crotch length, waist height and inside leg length',
    },
  ];
  return moves.flatMap(({ name, words, moveMm, limitMm, retake }): Finding[] => {
    const neededMm = Math.ceil(Math.abs(moveMm) + REACHED_MM);
    if (limitMm === undefined || limitMm >= neededMm) return [];
    const shortMm = neededMm - limitMm;
    return [
      {
        code: 'YIELDING_TOO_LITTLE',
        level: 'stop',
        message: `No block can be drawn with ${words} held to ${limitMm} mm: it has to move ${neededMm} mm, ${shortMm} mm more.`,
        action: `Measure ${retake} again, or allow "yielding.${name}" ${neededMm} mm.`,
        pointer: `/yielding/${name}`,
        numbers: { shortMm, neededMm },
      },
    ];
  });
}

function atTheEnd(exhausted: readonly Parameter[]): string {
  return exhausted.length === 0
    ? ''
    : ` with these at the end of their range: ${exhausted.map((name) => TRADE_WORDS[name]).join(', ')}`;
}

function shapeRefusal(order: RefusedOrder, { best }: UnsolvedBlock): Finding {
  const reasons = [...new Set(best.invalid)].map((reason) => SHAPE_WORDS[reason]);
  const remedy = remedyFor(order.body, order.ease, order.limits, ['hip', 'waist', 'depth', 'thigh']);
  return {
    code: 'BLOCK_NOT_SOUND',
    level: 'stop',
    message: `Every length can be reached, but not by a block a cutter would sign: ${reasons.join('; ') || 'the search did not settle'}.`,
    action: actionFor('total crotch length, waist height, hip girth and waist girth', remedy),
    numbers: numbersOf(remedy),
  };
}
