/** `MEASURES_DOUBTFUL` is a question that a request may confirm; the others are mended or nothing is drafted. */
export type MeasureProblemCode =
  'MEASURE_OUT_OF_RANGE' | 'UNIT_DOUBTFUL' | 'MEASURES_CONTRADICT' | 'MEASURES_DOUBTFUL';

/** One thing wrong with a body. `found` and `message` hold measures: answer them to the sender, never log them. */
export interface MeasureProblem {
  /** JSON pointer from the body. */
  readonly pointer: string;
  readonly code: MeasureProblemCode;
  readonly found: string;
  readonly allowed:
    { readonly min: number; readonly max: number; readonly unit: 'mm' } | { readonly form: string };
  readonly message: string;
  readonly action: string;
}
