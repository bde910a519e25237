import { disagreements, type Disagreement } from './agreement.js';
import { checkRanges } from './check-ranges.js';
import type { MeasureProblem } from './measure-problem.js';
import { measureInWords, mmInWords, type Body, type MeasureName } from './measure.js';
import { judgeProportions, type JudgedProportion } from './proportions.js';
import { RANGES } from './ranges.js';
import { sexesLike } from './survey.js';
import { SURVEY_TABLE } from './survey-table.js';

/** The one code by which a request confirms that a body is as odd as it looks. */
export const DOUBT_CODE = 'MEASURES_DOUBTFUL';

/**
 * From here on a measure is asked about. Chosen on bodies.csv, fitted on one half and counted on the other: 1.0 % of
 * honest bodies are asked, and four in five waists that are a quarter off. At 3.5 it would be 1.6 % for a twentieth
 * more of the slips.
 */
const DEVIATIONS_MAX = 3.75;

/** A measure this near to what the others make likely is no longer doubted; two of it are the trade's "about". */
const DEVIATIONS_LIKELY = 2;

/**
 * The second check of a body: believable measures that do not go together, as questions.
 *
 * A solver drafts a waist a quarter too large without complaint, so somebody has to ask before cloth is cut. Two
 * things are asked about: proportions beyond those of everybody the survey measured, and a measure further from what
 * all the others make likely than one body in a hundred. Nobody is refused: a person who is built like that says so
 * once, with DOUBT_CODE in `confirm`.
 *
 * Shape      questions in the order of the proportions, then by how far off a measure is; none about a measure that a
 *            proportion has named. Empty where `checkRanges` has something to say, because a number that is out of its
 *            range says nothing of the others.
 * Units      millimetres.
 * Accuracy   of 2,023 surveyed bodies 4 % are asked, three in four of them because the front crotch length is as long
 *            as the back one; docs/measure-sanity.md says which slips are found.
 */
export function questionsOf(body: Body): MeasureProblem[] {
  if (checkRanges(body).length > 0) return [];
  const asked = judgeProportions(body).filter(isAsked);
  return [...asked.map((judged) => proportionQuestion(judged, body)), ...others(body, asked).map(question)];
}

/** Something unusual about a body, for whoever signs the draft. Holds no measure. */
export interface MeasureRemark {
  readonly code: typeof DOUBT_CODE | 'MEASURES_UNUSUAL';
  readonly measures: readonly MeasureName[];
  readonly message: string;
  readonly action: string;
  readonly numbers: Readonly<Record<string, number>>;
}

/**
 * What is unusual about a body that is drafted: proportions beyond 98 in a hundred surveyed bodies, and whatever
 * was asked about and confirmed. The words hold shares and percentiles and no measure, since findings are printed.
 */
export function remarksOf(body: Body): MeasureRemark[] {
  const judged = judgeProportions(body);
  const asked = judged.filter(isAsked);
  const unusual = judged.filter((one) => !isAsked(one) && isOutside(one.value, one.usual));
  return [
    ...asked.map((one) => proportionRemark(one, body)),
    ...others(body, asked).map(disagreementRemark),
    ...unusual.map((one) => proportionRemark(one, body)),
  ];
}

function isAsked({ value, unasked }: JudgedProportion): boolean {
  return isOutside(value, unasked);
}

function isOutside(value: number, { min, max }: { readonly min: number; readonly max: number }): boolean {
  return value < min || value > max;
}

// A measure that a proportion has already named is not asked about twice.
function others(body: Body, asked: readonly JudgedProportion[]): Disagreement[] {
  const named = new Set(asked.flatMap(({ measures }) => measures));
  return disagreements(body, DEVIATIONS_MAX).filter(({ measure }) => !named.has(measure));
}

const CONFIRM = `if they are right send "confirm": ["${DOUBT_CODE}"]`;

function proportionQuestion(judged: JudgedProportion, body: Body): MeasureProblem {
  const { measures, unit, unasked, value, name } = judged;
  const exchanged = name === 'backOverFront' && value < unasked.min;
  const again = `Take ${measures.map(measureInWords).join(' and ')} again`;
  const hint = exchanged ? ', and see that front and back were not exchanged' : '';
  return {
    pointer: `/measures/${measures[0]}`,
    code: DOUBT_CODE,
    found: measures
      .map((measure) => `${measureInWords(measure)} ${mmInWords(body.measures[measure] ?? 0)}`)
      .join(', '),
    allowed: { form: `${inUnit(unasked.min, unit)} to ${inUnit(unasked.max, unit)}, or confirmed` },
    message: `${upper(judged.words)} is ${inUnit(value, unit)}; ${standing(judged, body)}.`,
    action: `${again}${hint}; ${CONFIRM}.`,
  };
}

function proportionRemark(judged: JudgedProportion, body: Body): MeasureRemark {
  const asked = isAsked(judged);
  return {
    code: asked ? DOUBT_CODE : 'MEASURES_UNUSUAL',
    measures: judged.measures,
    message: `${upper(judged.words)}: ${standing(judged, body)}.`,
    action: `${asked ? 'It was drafted as sent; look at the proof before cutting' : 'Look at the proof before cutting'}, and take ${judged.measures.map(measureInWords).join(' and ')} again if nothing about the figure explains it.`,
    numbers: { percentile: judged.percentile },
  };
}

/** "above all of the 662 women of ANSUR II", "above 99 % of ...". */
function standing({ value, percentile, usual, name }: JudgedProportion, { sex }: Body): string {
  const whom = surveyed(sex);
  if (percentile >= 100) return `above all of ${whom}`;
  if (percentile <= 0) return `below all of ${whom}`;
  if (name === 'backOverFront' && value <= 0)
    return `the back is no longer than the front, as on ${Math.max(1, Math.round(percentile))} % of ${whom}`;
  const middle = (usual.min + usual.max) / 2;
  const shown = (percent: number): string => String(Number(percent.toFixed(percent > 1 ? 0 : 1)));
  return value > middle
    ? `above ${percentile > 99 ? percentile.toFixed(1) : shown(percentile)} % of ${whom}`
    : `below ${percentile < 1 ? (100 - percentile).toFixed(1) : shown(100 - percentile)} % of ${whom}`;
}

function surveyed(sex: Body['sex']): string {
  const counts = sexesLike(sex).map(
    (one) => `${SURVEY_TABLE[one].bodies} ${one === 'female' ? 'women' : 'men'}`,
  );
  return `the ${counts.join(' and ')} of the survey ANSUR II (2012)`;
}

function question(found: Disagreement): MeasureProblem {
  const { measure, valueMm, likelyMm, sdMm, deviations } = found;
  const words = measureInWords(measure);
  const side = deviations > 0 ? 'above' : 'below';
  const digits = exchangedDigits(found);
  const meant = digits === undefined ? '' : `; if two digits were exchanged send ${digits}`;
  return {
    pointer: `/measures/${measure}`,
    code: DOUBT_CODE,
    found: mmInWords(valueMm),
    allowed: {
      form: `${Math.ceil(likelyMm - DEVIATIONS_MAX * sdMm)} to ${Math.floor(likelyMm + DEVIATIONS_MAX * sdMm)} mm with these other measures, or confirmed`,
    },
    message:
      `The ${words} of ${mmInWords(valueMm)} does not go with the other measures, which make ` +
      `${Math.round(likelyMm)} mm likely, give or take ${Math.round(sdMm)}: ${side} what 99.9 % of surveyed bodies have with them.`,
    action: `Take the ${words} again, and look at the others${meant}; ${CONFIRM}.`,
  };
}

function disagreementRemark({ measure, deviations }: Disagreement): MeasureRemark {
  const words = measureInWords(measure);
  const far = Math.abs(deviations).toFixed(1);
  const side = deviations > 0 ? 'above' : 'below';
  return {
    code: DOUBT_CODE,
    measures: [measure],
    message: `The ${words} does not go with the other measures: ${far} standard deviations ${side} what they make likely.`,
    action: `It was drafted as sent; look at the proof before cutting, and take the ${words} again if nothing about the figure explains it.`,
    numbers: { deviations },
  };
}

/** The measure with two neighbouring digits exchanged, where that goes with the others: 470 for 740. */
function exchangedDigits({ measure, valueMm, likelyMm, sdMm }: Disagreement): number | undefined {
  const digits = String(Math.round(valueMm));
  const { minMm, maxMm } = RANGES[measure];
  return Array.from(digits.slice(1), (_, i) =>
    Number(`${digits.slice(0, i)}${digits[i + 1]}${digits[i]}${digits.slice(i + 2)}`),
  ).find((mm) => mm >= minMm && mm <= maxMm && Math.abs(mm - likelyMm) <= DEVIATIONS_LIKELY * sdMm);
}

function inUnit(value: number, unit: JudgedProportion['unit']): string {
  return unit === 'mm' ? mmInWords(value) : String(Number(value.toFixed(3)));
}

function upper(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}
