/** The lower-body measures of ISO 8559-1 that a trouser is drafted from; all in millimetres. */
export const MEASURE_NAMES = [
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
  'outsideLegLength',
  'hipBreadth',
  'waistBreadth',
  'trochanterHeight',
  'stature',
] as const;
export type MeasureName = (typeof MEASURE_NAMES)[number];

/** Without these nothing is drafted; every other measure is estimated from them when it is missing. */
export const NEEDED_MEASURES = [
  'waistGirth',
  'hipGirth',
  'totalCrotchLength',
  'waistHeight',
  'insideLegLength',
] as const satisfies readonly MeasureName[];
export type NeededMeasure = (typeof NEEDED_MEASURES)[number];

export const SEXES = ['female', 'male', 'unspecified'] as const;
export type Sex = (typeof SEXES)[number];

/**
 * How the inside leg was taken: `taped` with the tape falling from the crotch, `pressed` with a rod pushed up
 * against the body, as surveys do. A pressed one reads higher, so the draft needs more depth ease.
 */
export const INSIDE_LEG_WAYS = ['taped', 'pressed'] as const;
export type InsideLegTaken = (typeof INSIDE_LEG_WAYS)[number];

export const CORRECTION_USES = ['waist', 'centre-back'] as const;

/** What a fitting taught: a change that belongs to this body, whatever is drafted for it. */
export interface BodyCorrection {
  /** The day of the fitting, YYYY-MM-DD. */
  readonly date: string;
  readonly use: (typeof CORRECTION_USES)[number];
  /** Waist: of the whole girth. Centre back: along the back rise, up when positive. */
  readonly byMm: number;
}

/** One person's measures under a pseudonymous reference. Personal: never logged, never in a file name. */
export interface Body {
  readonly ref: string;
  readonly sex: Sex;
  readonly insideLegTaken: InsideLegTaken;
  /** Millimetres. */
  readonly measures: Readonly<Partial<Record<MeasureName, number>>>;
  /** In the order in which they are made; left out where there are none. */
  readonly corrections?: readonly BodyCorrection[];
}

/** Every measure in millimetres, taken or estimated. */
export type CompleteMeasures = Readonly<Record<MeasureName, number>>;

/** "waistGirth" as a person says it: "waist girth". */
export function measureInWords(measure: MeasureName): string {
  return measure.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
}

/** A length for a sentence: at most one decimal, because no tape reads finer. */
export function mmInWords(valueMm: number): string {
  return `${Number(valueMm.toFixed(1))} mm`;
}
