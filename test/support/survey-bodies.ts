import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Body } from '#measurements';

/** Bodies of ANSUR II that the product holds; the source stands in the file's first line. */
export function surveyBodies(): Body[] {
  return surveyBodiesIn(join(import.meta.dirname, '../../../test/fixtures/survey-bodies.csv'));
}

/** The bodies of a table of the survey, every inside leg pressed. */
export function surveyBodiesIn(path: string): Body[] {
  const [header, ...rows] = readFileSync(path, 'utf8')
    .split(/\r?\n/)
    .filter((row) => row !== '' && !row.startsWith('#'))
    .map((row) => row.split(','));
  return rows.map((row) => ({
    ref: row[0],
    sex: row[1] === 'female' ? 'female' : 'male',
    insideLegTaken: 'pressed',
    measures: Object.fromEntries(header.slice(2).map((name, i) => [name, Number(row[i + 2])])),
  }));
}
