import { ESTIMATE_TABLE } from './estimate-table.js';
import {
  measureInWords,
  mmInWords,
  NEEDED_MEASURES,
  type Body,
  type CompleteMeasures,
  type MeasureName,
  type Sex,
} from './measure.js';
import { MeasurementError } from './measurement-error.js';
import { RANGES } from './ranges.js';
import type { RegressedMeasure } from './regression.js';

/** A measure nobody took, and how far it may be off. */
export interface Estimate {
  readonly measure: MeasureName;
  readonly valueMm: number;
  /** One standard deviation; about one body in three lies further off. */
  readonly sdMm: number;
  /** In words: what it was computed from, and the source. */
  readonly from: string;
}

type Measures = Partial<Record<MeasureName, number>>;
type Guess = Omit<Estimate, 'measure'>;

/**
 * All eighteen measures of a body: those taken as they are, the missing ones estimated, and which those were.
 *
 * A shop takes five measures and a draft needs eighteen. The technician must see which numbers were guessed and
 * how well, before cloth is cut on them.
 *
 * Shape      `estimates` lists the missing measures in the order they are worked out; a body with all eighteen has
 *            none. Measures taken are never changed.
 * Units      millimetres.
 * Accuracy   each estimate carries its own standard deviation. Thigh 19, knee 16 to 20, heel 10 to 12, hip height
 *            16 to 20, stature 23 to 26 mm. It holds for bodies like the survey's: military adults, waist at the
 *            navel, inside leg pressed. A waist at its natural height or a taped inside leg shifts the heights by
 *            some millimetres more, which the deviation does not count.
 * Edges      far from the survey a straight line leaves the possible (a knee above the crotch). The estimate is
 *            then held at the nearest plausible value, and `from` says so with the value of the line.
 * Errors     MeasurementError NEEDED_MEASURE_MISSING; the door reports missing measures before.
 * Source     regression on the five needed measures, ANSUR II (see estimate-table.ts); breadths and trochanter
 *            height from memory, no source; outside leg from the geometry of the hip contour.
 */
export function completeMeasures(body: Body): { measures: CompleteMeasures; estimates: Estimate[] } {
  const missing = NEEDED_MEASURES.filter((measure) => body.measures[measure] === undefined);
  if (missing.length > 0) throw new MeasurementError('NEEDED_MEASURE_MISSING', { missing });

  const known: Measures = { ...body.measures };
  const estimates: Estimate[] = [];
  for (const [measure, guess] of steps(body.sex)) {
    if (known[measure] !== undefined) continue;
    const estimate = { measure, ...held(measure, guess(known, estimates), known) };
    known[measure] = estimate.valueMm;
    estimates.push(estimate);
  }
  return { measures: known as CompleteMeasures, estimates };
}

type Step = [MeasureName, (known: Measures, estimates: readonly Estimate[]) => Guess];

// In this order, because the later ones are computed from the earlier.
function steps(sex: Sex): Step[] {
  const { bodies: _, ...regressions } = ESTIMATE_TABLE[sex];
  const regressed = (Object.keys(regressions) as RegressedMeasure[]).map((measure): Step => [
    measure,
    (known) => onTheLine(measure, sex, known),
  ]);
  return [
    ...regressed,
    ['hipBreadth', (known) => shareOf('hipGirth', known, 0.345, 12)],
    ['waistBreadth', (known) => shareOf('waistGirth', known, 0.345, 14)],
    ['trochanterHeight', atHipHeight],
    ['outsideLegLength', overTheHip],
  ];
}

function onTheLine(measure: RegressedMeasure, sex: Sex, known: Measures): Guess {
  const table = ESTIMATE_TABLE[sex];
  const { interceptMm, slopes, sdMm, r2 } = table[measure];
  const valueMm = NEEDED_MEASURES.reduce((sum, name, i) => sum + slopes[i] * (known[name] ?? 0), interceptMm);
  const who = { female: 'women', male: 'men', unspecified: 'women and men, each sex weighing the same,' }[
    sex
  ];
  return {
    valueMm,
    sdMm,
    from:
      'waist girth, hip girth, total crotch length, waist height and inside leg length by linear regression on ' +
      `${table.bodies} ${who} of the survey ANSUR II (2012; waist at the navel, inside leg pressed), R2 ${r2}`,
  };
}

function shareOf(girth: MeasureName, known: Measures, share: number, sdMm: number): Guess {
  return {
    valueMm: share * (known[girth] ?? 0),
    sdMm,
    from: `${share} of the ${measureInWords(girth)}; from memory, no source`,
  };
}

/** How far the trochanter lies from the level of the fullest seat. From memory, no source. */
const TROCHANTER_SD_MM = 25;

function atHipHeight(known: Measures, estimates: readonly Estimate[]): Guess {
  return {
    valueMm: known.hipHeight ?? 0,
    sdMm: Math.hypot(TROCHANTER_SD_MM, sdOf('hipHeight', estimates)),
    from: 'the hip height; from memory, no source',
  };
}

/** How far the side of a hip bulges off the straight line from waist to hip. From memory, no source. */
const CONTOUR_SD_MM = 5;

// Straight from the side of the waist to the side of the hip, then down: the shortest tape there is.
function overTheHip(known: Measures, estimates: readonly Estimate[]): Guess {
  const { hipBreadth = 0, waistBreadth = 0, waistHeight = 0, hipHeight = 0 } = known;
  const outMm = (hipBreadth - waistBreadth) / 2;
  const downMm = waistHeight - hipHeight;
  const sideMm = Math.hypot(outMm, downMm);
  // First-order: how the length answers to a millimetre of each estimated input.
  const perBreadth = sideMm > 0 ? outMm / sideMm / 2 : 0;
  const perHipHeight = sideMm > 0 ? 1 - downMm / sideMm : 0;
  return {
    valueMm: sideMm + hipHeight,
    sdMm: Math.hypot(
      CONTOUR_SD_MM,
      perBreadth * sdOf('hipBreadth', estimates),
      perBreadth * sdOf('waistBreadth', estimates),
      perHipHeight * sdOf('hipHeight', estimates),
    ),
    from: 'hip and waist breadth, waist height and hip height: straight over the side of the hip, then down',
  };
}

function sdOf(measure: MeasureName, estimates: readonly Estimate[]): number {
  return estimates.find((estimate) => estimate.measure === measure)?.sdMm ?? 0;
}

function held(measure: MeasureName, guess: Guess, known: Measures): Guess {
  const { minMm, maxMm } = plausible(measure, known);
  if (guess.valueMm >= minMm && guess.valueMm <= maxMm) return guess;
  const valueMm = guess.valueMm < minMm ? minMm : maxMm;
  const words = `${mmInWords(guess.valueMm)} by this, which no body has; held at ${mmInWords(valueMm)}`;
  return { ...guess, valueMm, from: `${guess.from}; ${words}` };
}

/**
 * What an estimate may be next to the measures it was made from: the survey's extremes of each share, a twentieth
 * wider (thigh by hip .525 to .687, back by total crotch length .46 to .69, knee by crotch height .53 to .63, hip
 * level at most .7 of the way from crotch to waist).
 */
function plausible(measure: MeasureName, known: Measures): { minMm: number; maxMm: number } {
  const { hipGirth = 0, totalCrotchLength = 0, insideLegLength = 0, waistHeight = 0 } = known;
  switch (measure) {
    case 'thighGirth':
      return { minMm: 0.5 * hipGirth, maxMm: 0.72 * hipGirth };
    case 'backCrotchLength':
      return { minMm: 0.43 * totalCrotchLength, maxMm: 0.72 * totalCrotchLength };
    case 'kneeHeight':
      return { minMm: 0.5 * insideLegLength, maxMm: 0.66 * insideLegLength };
    case 'hipHeight':
      return { minMm: insideLegLength, maxMm: insideLegLength + 0.74 * (waistHeight - insideLegLength) };
    // Built from measures that are already held; a limit of its own would break the identity it is built by.
    case 'hipBreadth':
    case 'waistBreadth':
    case 'trochanterHeight':
    case 'outsideLegLength':
      return { minMm: 0, maxMm: Infinity };
    default:
      return RANGES[measure];
  }
}
