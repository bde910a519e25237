import { INDEX, PARAMETERS, RULES, TRADE_WORDS, type Parameter, type Range } from './parameters.js';

/** One thing that a draft gave way in, in words. */
export interface YieldInWords {
  readonly says: string;
  /** What to measure again before cutting; null where the move is no more than a tape is good for. */
  readonly measureAgain: string | null;
}

export interface YieldMoves {
  readonly splitMoveMm: number;
  readonly depthMoveMm: number;
  readonly hipMoveMm: number;
  readonly parameters: Float64Array;
}

/** Smaller moves are none. */
const SAID_MM = 1;
/** A tape is no better than this at a landmark; common practice, no source. */
const TAPE_MM = 10;

/**
 * What a draft gave way in, from the first to yield to the last: split, depth, hip line, then shape.
 *
 * Shape  empty for a draft that is as ordered within a millimetre and as a cutter would draw it without thinking.
 */
export function yieldsInWords({
  splitMoveMm,
  depthMoveMm,
  hipMoveMm,
  parameters,
}: YieldMoves): YieldInWords[] {
  const mm = (move: number): string => Math.abs(move).toFixed(1);
  const [longer, shorter] = splitMoveMm > 0 ? ['front', 'back'] : ['back', 'front'];
  const moves = [
    {
      moveMm: splitMoveMm,
      says: `The ${longer} rise is ${mm(splitMoveMm)} mm longer than taped and the ${shorter} rise as much shorter.`,
      again: 'where the crotch point divides the crotch length into front and back',
    },
    {
      moveMm: depthMoveMm,
      says: `The fork hangs ${mm(depthMoveMm)} mm ${depthMoveMm > 0 ? 'lower' : 'higher'} than the ordered crotch depth; the inseam is ${depthMoveMm > 0 ? 'shorter' : 'longer'} by this.`,
      again: 'total crotch length, waist height and inside leg length',
    },
    {
      moveMm: hipMoveMm,
      says: `The hip line is drawn ${mm(hipMoveMm)} mm ${hipMoveMm > 0 ? 'above' : 'below'} the hip of the body.`,
      again: 'hip height',
    },
  ];
  const lengths = moves
    .filter(({ moveMm }) => Math.abs(moveMm) >= SAID_MM)
    .map(({ moveMm, says, again }) => ({ says, measureAgain: Math.abs(moveMm) > TAPE_MM ? again : null }));
  return [...lengths, ...PARAMETERS.flatMap((name) => shapeInWords(name, parameters[INDEX[name]]))];
}

interface ShapeWords {
  readonly unit: string;
  readonly factor: number;
  readonly digits: number;
  readonly again: string;
}

const LENGTH = { unit: 'mm', factor: 1, digits: 0 } as const;
const ANGLE = { unit: 'degrees', factor: 1, digits: 1 } as const;
const AT_THE_CENTRE = 'total crotch length and waist height';
const ROUND_THE_WAIST = 'waist girth and hip girth';

/** The shapes a cutter sees; what lies behind them when they are unusual. */
const SHAPES: Readonly<Partial<Record<Parameter, ShapeWords>>> = {
  frontCentreRaise: { ...LENGTH, again: AT_THE_CENTRE },
  backCentreRaise: { ...LENGTH, again: AT_THE_CENTRE },
  frontLean: { ...ANGLE, again: ROUND_THE_WAIST },
  frontSide: { ...LENGTH, again: ROUND_THE_WAIST },
  backSide: { ...LENGTH, again: ROUND_THE_WAIST },
  frontFork: { unit: '% of the hip', factor: 100, digits: 1, again: 'thigh girth and hip girth' },
  seatAngle: { ...ANGLE, again: `${AT_THE_CENTRE}, ${ROUND_THE_WAIST}` },
};

function shapeInWords(name: Parameter, value: number): YieldInWords[] {
  const words = SHAPES[name];
  const { comfort, wall } = RULES[name];
  const usual = comfort?.zone ?? wall?.ordinary;
  if (words === undefined || usual === undefined || isWithin(value, usual)) return [];
  const inUnit = (number: number): string => (words.factor * number).toFixed(words.digits);
  const [least, most] = usual;
  const range = Number.isFinite(most) ? `${inUnit(least)} to ${inUnit(most)}` : `${inUnit(least)} or more`;
  const what = TRADE_WORDS[name];
  return [
    {
      says: `${what[0].toUpperCase()}${what.slice(1)} is ${inUnit(value)} ${words.unit}; most blocks have ${range}.`,
      measureAgain: wall === undefined || isWithin(value, wall.ordinary) ? null : words.again,
    },
  ];
}

function isWithin(value: number, [least, most]: Range): boolean {
  return value >= least && value <= most;
}
