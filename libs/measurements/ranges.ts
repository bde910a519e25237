import type { MeasureName } from './measure.js';

export interface Range {
  readonly minMm: number;
  readonly maxMm: number;
}

/**
 * What an adult body can measure: outside it the number is a slip, and the door asks instead of drafting.
 *
 * A first net for slips of unit and digit, wide on purpose; whether measures agree with each other is judged
 * afterwards. Beside each range stand the smallest and largest of the 6,068 adults of ANSUR II (2012, public
 * domain; both sexes). The survey's soldiers are narrower than the public, so girths go a quarter below and four
 * tenths above it, heights about an eighth and a fifth. A measure typed in inches or centimetres always falls
 * below its range. Margins are a design choice, no source.
 */
export const RANGES: Readonly<Record<MeasureName, Range>> = {
  waistGirth: { minMm: 480, maxMm: 1800 }, // 611..1379
  hipGirth: { minMm: 600, maxMm: 1900 }, // 737..1341
  thighGirth: { minMm: 300, maxMm: 1200 }, // 412..870
  kneeGirth: { minMm: 220, maxMm: 800 }, // 290..600
  calfGirth: { minMm: 200, maxMm: 720 }, // 266..523
  ankleGirth: { minMm: 120, maxMm: 420 }, // 156..293
  heelGirth: { minMm: 210, maxMm: 480 }, // 258..403
  // Upwards wider: the survey's waist is the navel, and a natural waist adds up to 60 mm in front and behind.
  totalCrotchLength: { minMm: 400, maxMm: 1150 }, // 473..799
  backCrotchLength: { minMm: 180, maxMm: 680 }, // 243..468
  waistHeight: { minMm: 720, maxMm: 1450 }, // 805..1245
  hipHeight: { minMm: 580, maxMm: 1260 }, // 656..1080
  insideLegLength: { minMm: 500, maxMm: 1180 }, // 610..1031
  kneeHeight: { minMm: 300, maxMm: 710 }, // 346..612
  // Follows the side, so never shorter than the waist height.
  outsideLegLength: { minMm: 720, maxMm: 1500 }, // not surveyed
  // About .345 of the girth (from memory): 254..463 and 211..476 for the survey's girths.
  hipBreadth: { minMm: 200, maxMm: 660 }, // not in the table
  waistBreadth: { minMm: 160, maxMm: 630 }, // not in the table
  trochanterHeight: { minMm: 580, maxMm: 1260 }, // about the hip height
  stature: { minMm: 1250, maxMm: 2300 }, // 1409..1993
};
