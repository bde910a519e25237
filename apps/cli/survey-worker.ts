import { parentPort, workerData } from 'node:worker_threads';
import type { SurveyOptions } from '#pipeline';
import type { TableRow } from './bodies-table.js';
import { surveyRow, type SurveyedRow } from './survey-row.js';

/** One thread of a population: a list of rows in, as many surveyed rows out. */
const options = workerData as SurveyOptions;

parentPort?.on('message', (rows: readonly TableRow[]) => {
  const surveyed: SurveyedRow[] = rows.map((row) => surveyRow(row, options));
  parentPort?.postMessage(surveyed);
});
