import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { DraftingMeasures } from '#drafting';

export interface SurveyBody {
  readonly ref: string;
  readonly sex: 'female' | 'male';
  readonly measures: DraftingMeasures;
}

/** Bodies of ANSUR II that the product holds; the source stands in the file's first line. */
export function surveyBodies(): SurveyBody[] {
  const path = join(import.meta.dirname, '../../../test/fixtures/survey-bodies.csv');
  const [header, ...rows] = readFileSync(path, 'utf8')
    .split('\n')
    .filter((row) => row !== '' && !row.startsWith('#'))
    .map((row) => row.split(','));
  return rows.map((row) => {
    const value = (name: string): number => Number(row[header.indexOf(name)]);
    const measures = Object.fromEntries(header.slice(2).map((name) => [name, value(name)]));
    // The survey has no outside leg; straight up from the floor to the hip and along the slope to the waist, breadths
    // of hip and waist as 0.345 of their girths (from memory).
    const slopeMm = (0.345 * (value('hipGirth') - value('waistGirth'))) / 2;
    const outsideLegLength =
      Math.hypot(slopeMm, value('waistHeight') - value('hipHeight')) + value('hipHeight');
    return {
      ref: row[0],
      sex: row[1] === 'female' ? 'female' : 'male',
      measures: { ...measures, outsideLegLength } as unknown as DraftingMeasures,
    };
  });
}
