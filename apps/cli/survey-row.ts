import type { EaseName } from '#fit';
import { draftForSurvey, type SurveyResult, type SurveyState } from '#pipeline';
import type { TableRow } from './bodies-table.js';

export interface SurveyOptions {
  readonly ease: EaseName;
  readonly alteration?: 'drop-crotch';
}

/** One line of the report and one of the pieces file, ready to be written, and what is counted of them. */
export interface SurveyedRow {
  readonly state: SurveyState;
  readonly isUnusual: boolean;
  readonly reportJson: string;
  /** Undefined when there are no pieces. */
  readonly piecesJson: string | undefined;
}

/** Findings by which a cutter would call a block odd. */
const UNUSUAL = /^UNUSUAL_/;

/** Draft the body of one row. A row without a body becomes a refused one, so that every row has its line. */
export function surveyRow(row: TableRow, options: SurveyOptions): SurveyedRow {
  const { pieces, ...result } = row.kind === 'body' ? draftForSurvey(row.body, options) : refusedRow(row);
  return {
    state: result.state,
    isUnusual: result.findings.some((code) => UNUSUAL.test(code)),
    reportJson: JSON.stringify(result),
    piecesJson: pieces === null || pieces === undefined ? undefined : JSON.stringify(pieces),
  };
}

function refusedRow({ line, ref, faults }: Extract<TableRow, { kind: 'unreadable' }>): SurveyResult {
  return {
    ref,
    state: 'refused',
    reason: `line ${line} cannot be read: ${faults.join(' ')}`,
    splitMove: null,
    depthMove: null,
    asks: [],
    findings: [],
    residuals: null,
    altered: null,
    pieces: null,
  };
}
