import type { FormulaProblemCode } from '../formula/formula.js';

export type RecipeProblemCode =
  | FormulaProblemCode
  /** Not a name, or one that is taken. */
  | 'WRONG_NAME'
  /** Names that wait for each other. */
  | 'CIRCLE'
  /** Values that cannot stand together: limits that cross, a default outside them. */
  | 'CONFLICT'
  /** Nothing follows from it. */
  | 'WITHOUT_EFFECT';

/** One thing wrong with a recipe whose fields are in order, where it stands and what to do. */
export interface RecipeProblem {
  /** The field, from the recipe down. */
  readonly path: readonly (string | number)[];
  /** The number of the step, from 1 in reading order, those inside conditions counted in. */
  readonly step?: number;
  /** Inside the text of the field, from 1. */
  readonly column?: number;
  readonly code: RecipeProblemCode;
  /** What may stand there. */
  readonly allowed: string;
  /** One sentence. */
  readonly message: string;
  /** What to do, as an instruction. */
  readonly action: string;
}

/** More than a person reads; after them nothing is looked at, so that hostile input costs little. */
export const RECIPE_PROBLEMS_MAX = 100;
