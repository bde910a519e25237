/**
 * What a formula speaks of. Lengths are millimetres, angles radians, areas square millimetres; a ratio has no unit.
 * A word is one of the words a parameter may be.
 */
export type Quantity = 'length' | 'angle' | 'ratio' | 'area' | 'yes-no' | 'word';

/** What a name stands for while a formula is worked out. */
export type FormulaValue = number | boolean | string;

/** A formula as it was read: plain data, nothing of it can run by itself. */
export interface Formula {
  /** As it was written. */
  readonly text: string;
  readonly root: FormulaNode;
  /** Every name in it once, in the order of the text. */
  readonly names: readonly FormulaName[];
}

export interface FormulaName {
  readonly name: string;
  /** Where it first stands; columns count from 1. */
  readonly column: number;
}

export type FormulaNode =
  | NumberNode
  | { readonly kind: 'word'; readonly value: string; readonly column: number }
  | { readonly kind: 'yes-no'; readonly value: boolean; readonly column: number }
  | { readonly kind: 'name'; readonly name: string; readonly column: number }
  | { readonly kind: 'negate' | 'not'; readonly of: FormulaNode; readonly column: number }
  | PairNode
  | CallNode;

export interface NumberNode {
  readonly kind: 'number';
  readonly value: number;
  readonly quantity: 'length' | 'angle' | 'ratio';
  readonly column: number;
}

export interface PairNode {
  readonly kind: 'pair';
  readonly operator: PairOperator;
  readonly left: FormulaNode;
  readonly right: FormulaNode;
  /** Where the operator stands. */
  readonly column: number;
}

export interface CallNode {
  readonly kind: 'call';
  readonly callee: FunctionName;
  readonly args: readonly FormulaNode[];
  readonly column: number;
}

export const COMPARISONS = ['=', '!=', '<', '<=', '>', '>='] as const;
export type Comparison = (typeof COMPARISONS)[number];
export type PairOperator = '+' | '-' | '*' | '/' | 'and' | 'or' | Comparison;

/** How many arguments each function takes. */
export const FUNCTIONS = {
  abs: { least: 1, most: 1 },
  atan: { least: 1, most: 1 },
  clamp: { least: 3, most: 3 },
  cos: { least: 1, most: 1 },
  if: { least: 3, most: 3 },
  max: { least: 2, most: 8 },
  min: { least: 2, most: 8 },
  sin: { least: 1, most: 1 },
  sqrt: { least: 1, most: 1 },
  tan: { least: 1, most: 1 },
} as const;

export type FunctionName = keyof typeof FUNCTIONS;
export const FUNCTION_NAMES = Object.keys(FUNCTIONS) as FunctionName[];

/** Words that a formula itself uses, so that nothing can be named like them. */
export const FORMULA_WORDS: ReadonlySet<string> = new Set([
  ...FUNCTION_NAMES,
  'and',
  'or',
  'not',
  'yes',
  'no',
  'mm',
  'cm',
  'm',
  'in',
  'inch',
  'inches',
  'deg',
]);

/** One thing wrong with a formula, with the column where it shows. */
export interface FormulaProblem {
  readonly code: FormulaProblemCode;
  /** From 1. */
  readonly column: number;
  /** One sentence. */
  readonly message: string;
  /** What to do, as an instruction. */
  readonly action: string;
}

export type FormulaProblemCode =
  /** The text is not a formula. */
  | 'NOT_A_FORMULA'
  /** It is longer, deeper or holds a larger number than is read. */
  | 'FORMULA_TOO_LARGE'
  | 'UNKNOWN_NAME'
  /** Units that do not go together, or not what is needed where the formula stands. */
  | 'WRONG_UNITS'
  /** A part without names that cannot be worked out: a division by zero, a root of a negative number. */
  | 'NO_VALUE';

/** Why a formula has no value for these values; nothing was thrown, since the values are a shop's. */
export interface FormulaFault {
  readonly code: 'DIVISION_BY_ZERO' | 'NEGATIVE_ROOT' | 'LIMITS_CROSSED' | 'NOT_FINITE';
  readonly column: number;
  readonly message: string;
}

/** A sentence and its unit are written in far less; a longer text is not read at all. */
export const FORMULA_LENGTH_MAX = 400;

/** How deep brackets, signs and functions may stand inside each other. A person loses the thread well before it. */
export const FORMULA_DEPTH_MAX = 16;

/** No amount of a pattern comes near it, in mm, square mm or without unit; beyond it a formula has gone wrong. */
export const FORMULA_VALUE_MAX = 1e12;
