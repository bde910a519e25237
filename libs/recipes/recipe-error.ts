export type RecipeErrorCode =
  | 'UNKNOWN_OPERATION'
  | 'UNKNOWN_ARGUMENT'
  | 'ARGUMENT_MISSING'
  | 'UNKNOWN_WORD'
  | 'UNKNOWN_POINT'
  | 'BAD_FORMULA';

/** A recipe that does not hold together was to be run: a bug of whoever let it through. */
export class RecipeError extends Error {
  constructor(
    readonly code: RecipeErrorCode,
    readonly step: number,
    message: string,
  ) {
    super(`step ${step}: ${message}`);
    this.name = 'RecipeError';
  }
}
