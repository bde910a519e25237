import type { Sex } from './measure.js';

export type RegressedMeasure =
  | 'thighGirth'
  | 'kneeGirth'
  | 'calfGirth'
  | 'ankleGirth'
  | 'heelGirth'
  | 'backCrotchLength'
  | 'hipHeight'
  | 'kneeHeight'
  | 'stature';

/** One line of the table: measure = intercept + sum of slope times needed measure, in the order of NEEDED_MEASURES. */
export interface Regression {
  readonly interceptMm: number;
  readonly slopes: readonly [number, number, number, number, number];
  /** Standard deviation of what the line leaves unexplained. */
  readonly sdMm: number;
  readonly r2: number;
}

export type EstimateTable = Readonly<
  Record<Sex, { readonly bodies: number } & Readonly<Record<RegressedMeasure, Regression>>>
>;
