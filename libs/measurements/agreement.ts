import type { Body, MeasureName } from './measure.js';
import { SURVEY_TABLE } from './survey-table.js';
import {
  PRESSED_READS_HIGHER_MM,
  sexesLike,
  SURVEYED_MEASURES,
  type SurveyedMeasure,
  type SurveyedSexName,
} from './survey.js';

/** A measure that does not go with the others of the same body. */
export interface Disagreement {
  readonly measure: MeasureName;
  readonly valueMm: number;
  /** What the other measures make likely, and one standard deviation of it. */
  readonly likelyMm: number;
  readonly sdMm: number;
  /** How many standard deviations lie between. */
  readonly deviations: number;
}

/**
 * Which measures do not go with the rest of the body, the worst first.
 *
 * A waist that is a quarter too large is still a waist that somebody has; with this hip, thigh and stature nobody
 * has it. Each measure is held against what all the others make of it in the survey; the worst is named, left out,
 * and the rest are held against each other again, so that one slip does not accuse its neighbours.
 *
 * Shape      empty when nothing is further off than `deviationsMax`, and when fewer than two surveyed measures were
 *            taken. Estimates do not belong here: they agree by construction.
 * Units      millimetres; a taped inside leg is compared as pressing would have read it.
 * Accuracy   a normal distribution fitted on 662 women and 1,361 men (military adults, waist at the navel). At 3.75
 *            deviations it names something on 1 % of bodies it was not fitted on.
 * Edges      no stated sex: the sex that agrees better.
 * Source     conditional mean and variance of a normal distribution by the inverse of the correlation matrix
 *            (textbook statistics); ANSUR II, see survey-table.ts.
 */
export function disagreements(body: Body, deviationsMax: number): Disagreement[] {
  const found = sexesLike(body.sex).map((sex) => disagreementsWith(body, sex, deviationsMax));
  const [first, second = first] = found;
  return second.length < first.length ? second : first;
}

function disagreementsWith(body: Body, sex: SurveyedSexName, deviationsMax: number): Disagreement[] {
  let left = SURVEYED_MEASURES.filter((measure) => body.measures[measure] !== undefined);
  const found: Disagreement[] = [];
  // Each round leaves one measure out, so there are at most as many rounds as measures.
  while (left.length >= 2) {
    const worst = heldAgainstOthers(body, sex, left).reduce((a, b) =>
      Math.abs(b.deviations) > Math.abs(a.deviations) ? b : a,
    );
    if (Math.abs(worst.deviations) <= deviationsMax) return found;
    found.push(worst);
    left = left.filter((measure) => measure !== worst.measure);
  }
  return found;
}

function heldAgainstOthers(
  body: Body,
  sex: SurveyedSexName,
  measures: readonly SurveyedMeasure[],
): Disagreement[] {
  const table = SURVEY_TABLE[sex].measures;
  const precision = inverse(measures.map((a) => measures.map((b) => correlation(sex, a, b))));
  const standard = measures.map((measure) => {
    const { meanMm, sdMm } = table[measure];
    return (comparable(measure, body) - meanMm) / sdMm;
  });
  return measures.map((measure, i) => {
    const pull = precision[i].reduce((sum, weight, j) => sum + weight * standard[j], 0);
    const sdMm = table[measure].sdMm / Math.sqrt(precision[i][i]);
    const valueMm = body.measures[measure] ?? 0;
    const deviations = pull / Math.sqrt(precision[i][i]);
    return { measure, valueMm, likelyMm: valueMm - deviations * sdMm, sdMm, deviations };
  });
}

function comparable(measure: SurveyedMeasure, { measures, insideLegTaken }: Body): number {
  const raisedMm = measure === 'insideLegLength' && insideLegTaken === 'taped' ? PRESSED_READS_HIGHER_MM : 0;
  return (measures[measure] ?? 0) + raisedMm;
}

function correlation(sex: SurveyedSexName, a: SurveyedMeasure, b: SurveyedMeasure): number {
  const [i, j] = [SURVEYED_MEASURES.indexOf(a), SURVEYED_MEASURES.indexOf(b)];
  if (i === j) return 1;
  const later = i > j ? a : b;
  return SURVEY_TABLE[sex].measures[later].withEarlier[Math.min(i, j)];
}

/** By Gauss and Jordan, without exchanging rows: a correlation matrix of real bodies is positive definite. */
function inverse(matrix: readonly (readonly number[])[]): number[][] {
  const size = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  for (let step = 0; step < size; step++) {
    const pivot = rows[step][step];
    rows[step] = rows[step].map((value) => value / pivot);
    for (let i = 0; i < size; i++) {
      if (i === step) continue;
      const factor = rows[i][step];
      rows[i] = rows[i].map((value, j) => value - factor * rows[step][j]);
    }
  }
  return rows.map((row) => row.slice(size));
}
