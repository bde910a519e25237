import { measureInWords, type Body, type MeasureName } from './measure.js';
import { MARKS_PERCENT, SURVEY_TABLE } from './survey-table.js';
import {
  PRESSED_READS_HIGHER_MM,
  PROPORTION_NAMES,
  sexesLike,
  type ProportionName,
  type SurveyedSexName,
} from './survey.js';

/** How one proportion of a body compares with the survey's. */
export interface JudgedProportion {
  readonly name: ProportionName;
  /** The measures it is made of; the first is the one to look at first. */
  readonly measures: readonly MeasureName[];
  /** In words, to begin a sentence. */
  readonly words: string;
  readonly unit: '' | 'mm';
  readonly value: number;
  /** Share of the survey's bodies that have less, in per cent: 0 below all of them, 100 above all. */
  readonly percentile: number;
  /** Between the first and the ninety-ninth of a hundred surveyed bodies. */
  readonly usual: { readonly min: number; readonly max: number };
  /** What is drafted without a question: the survey's extremes and a twentieth of their span at either end. */
  readonly unasked: { readonly min: number; readonly max: number };
}

interface Proportion {
  readonly measures: readonly MeasureName[];
  readonly words: string;
  readonly unit: '' | 'mm';
  readonly of: (values: readonly number[]) => number;
}

const share = (part: MeasureName, whole: MeasureName): Proportion => ({
  measures: [part, whole],
  words: `${measureInWords(part)} as a share of ${measureInWords(whole)}`,
  unit: '',
  of: ([a, b]) => a / b,
});

const PROPORTIONS: Readonly<Record<ProportionName, Proportion>> = {
  waistToHip: share('waistGirth', 'hipGirth'),
  thighToHip: share('thighGirth', 'hipGirth'),
  rise: {
    measures: ['waistHeight', 'insideLegLength'],
    words: 'waist height less inside leg length, which is the rise,',
    unit: 'mm',
    of: ([waist, leg]) => waist - leg,
  },
  crotchOverRise: {
    measures: ['totalCrotchLength', 'waistHeight', 'insideLegLength'],
    words: 'total crotch length less twice the rise (waist height less inside leg length)',
    unit: 'mm',
    of: ([total, waist, leg]) => total - 2 * (waist - leg),
  },
  frontOverRise: {
    measures: ['backCrotchLength', 'totalCrotchLength', 'waistHeight', 'insideLegLength'],
    words:
      'front crotch length (total less back crotch length) less the rise (waist height less inside leg length)',
    unit: 'mm',
    of: ([back, total, waist, leg]) => total - back - (waist - leg),
  },
  backOverRise: {
    measures: ['backCrotchLength', 'waistHeight', 'insideLegLength'],
    words: 'back crotch length less the rise (waist height less inside leg length)',
    unit: 'mm',
    of: ([back, waist, leg]) => back - (waist - leg),
  },
  backOverFront: {
    measures: ['backCrotchLength', 'totalCrotchLength'],
    words: 'back crotch length less front crotch length (total less back)',
    unit: 'mm',
    of: ([back, total]) => 2 * back - total,
  },
  kneeToCrotch: share('kneeHeight', 'insideLegLength'),
  hipInRise: {
    measures: ['hipHeight', 'insideLegLength', 'waistHeight'],
    words: 'height of the hip above the crotch as a share of the rise (waist height less inside leg length)',
    unit: '',
    of: ([hip, leg, waist]) => (hip - leg) / (waist - leg),
  },
};

/** Beyond the survey's extremes by this share of their span nobody is expected. A design choice. */
const MARGIN_SHARE = 0.05;

/**
 * The survey's waist is the navel. A natural waist lies up to this much higher, which lengthens the rise by as much;
 * crotch lengths grow with it, so their excess over the rise does not. From memory of tailoring, no source.
 */
const NATURAL_WAIST_MM = 60;

/**
 * Every proportion of a body whose measures were taken, against the limits of the survey.
 *
 * Units      mm or shares, as `unit` says; an inside leg that was taped is raised to what pressing reads.
 * Accuracy   the percentile is read between eleven marks: good to two or three in the middle, coarse at the ends.
 * Edges      no stated sex: whichever sex the body is more like decides, so the limits are those of both.
 * Source     ANSUR II; see survey-table.ts.
 */
export function judgeProportions(body: Body): JudgedProportion[] {
  return PROPORTION_NAMES.flatMap((name) => {
    const { measures, of, ...wording } = PROPORTIONS[name];
    const values = measures.flatMap((measure) => {
      const valueMm = body.measures[measure];
      return valueMm === undefined ? [] : [valueMm + readsLowerMm(measure, body)];
    });
    if (values.length < measures.length) return [];
    const value = of(values);
    const judged = sexesLike(body.sex).map((sex) => ({
      name,
      measures,
      ...wording,
      value,
      ...limitsOf(name, sex, value),
    }));
    const [first, second = first] = judged;
    return [fromMiddle(second) < fromMiddle(first) ? second : first];
  });
}

function readsLowerMm(measure: MeasureName, { insideLegTaken }: Body): number {
  return measure === 'insideLegLength' && insideLegTaken === 'taped' ? PRESSED_READS_HIGHER_MM : 0;
}

function fromMiddle({ value, unasked: { min, max } }: JudgedProportion): number {
  return Math.abs(value - (min + max) / 2) / (max - min);
}

function limitsOf(
  name: ProportionName,
  sex: SurveyedSexName,
  value: number,
): Pick<JudgedProportion, 'percentile' | 'usual' | 'unasked'> {
  const marks = SURVEY_TABLE[sex].proportions[name];
  const least = marks[0];
  const most = marks[marks.length - 1];
  const marginMm = MARGIN_SHARE * (most - least);
  const higherMm = name === 'rise' ? NATURAL_WAIST_MM : 0;
  // More front than back is on about one honest body in thirty; an exchange of the two is on as many forms.
  const fewest = name === 'backOverFront' ? EXCHANGED_BELOW_MM : least - marginMm;
  return {
    percentile: percentileOf(value, marks),
    usual: { min: marks[1], max: marks[marks.length - 2] + higherMm },
    unasked: { min: fewest, max: most + marginMm + higherMm },
  };
}

/** A back crotch length no longer than the front one is asked about. */
const EXCHANGED_BELOW_MM = 0.5;

function percentileOf(value: number, marks: readonly number[]): number {
  const above = marks.findIndex((mark) => mark > value);
  if (above === 0) return 0;
  if (above === -1) return 100;
  const [low, high] = [marks[above - 1], marks[above]];
  const [from, to] = [MARKS_PERCENT[above - 1], MARKS_PERCENT[above]];
  return from + ((to - from) * (value - low)) / (high - low);
}
