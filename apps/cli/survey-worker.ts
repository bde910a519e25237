import { parentPort, workerData } from 'node:worker_threads';
import { surveyRow, type SurveyOptions, type SurveyedRow } from './survey-row.js';
import type { TableRow } from './bodies-table.js';

/** One thread of a population: a list of rows in, as many surveyed rows out. */
const options = workerData as SurveyOptions;

parentPort?.on('message', (rows: readonly TableRow[]) => {
  const surveyed: SurveyedRow[] = rows.map((row) => surveyRow(row, options));
  parentPort?.postMessage(surveyed);
});
