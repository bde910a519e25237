import type { Sex } from './measure.js';

/** The measures the survey took. */
export const SURVEYED_MEASURES = [
  'waistGirth',
  'hipGirth',
  'thighGirth',
  'kneeGirth',
  'calfGirth',
  'ankleGirth',
  'heelGirth',
  'totalCrotchLength',
  'backCrotchLength',
  'waistHeight',
  'hipHeight',
  'insideLegLength',
  'kneeHeight',
  'stature',
] as const;
export type SurveyedMeasure = (typeof SURVEYED_MEASURES)[number];

/** How two or three measures stand to each other. Shares have no unit; the others are mm. */
export const PROPORTION_NAMES = [
  'waistToHip',
  'thighToHip',
  'rise',
  'crotchOverRise',
  'frontOverRise',
  'backOverRise',
  'backOverFront',
  'kneeToCrotch',
  'hipInRise',
] as const;
export type ProportionName = (typeof PROPORTION_NAMES)[number];

/** One sex of the survey: where bodies lie in each proportion, and how its measures go together. */
export interface SurveyedSex {
  readonly bodies: number;
  /** Least, quantiles and most, at MARKS_PERCENT. */
  readonly proportions: Readonly<Record<ProportionName, readonly number[]>>;
  readonly measures: Readonly<
    Record<
      SurveyedMeasure,
      {
        readonly meanMm: number;
        readonly sdMm: number;
        /** Correlation with each measure that stands before it. */
        readonly withEarlier: readonly number[];
      }
    >
  >;
}

export type SurveyedSexName = Exclude<Sex, 'unspecified'>;
export type SurveyTable = Readonly<Record<SurveyedSexName, SurveyedSex>>;

/** Somebody of no stated sex may be like either. */
export function sexesLike(sex: Sex): readonly SurveyedSexName[] {
  return sex === 'unspecified' ? ['female', 'male'] : [sex];
}

/** How much higher a pressed inside leg reads than a taped one; calibrated on ANSUR II, where it is pressed. */
export const PRESSED_READS_HIGHER_MM = 20;
