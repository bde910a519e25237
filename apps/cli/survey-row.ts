import {
  draftForSurvey,
  type SurveyOptions,
  type SurveyPieces,
  type SurveyResult,
  type SurveyState,
  writtenJsonLine,
} from '#pipeline';
import type { TableRow } from './bodies-table.js';

/** One line of the report and one of the pieces file, ready to be written, and what is counted of them. */
export interface SurveyedRow {
  readonly state: SurveyState;
  readonly isUnusual: boolean;
  /** Whether a request for this body would have been asked something first. */
  readonly isAsked: boolean;
  readonly reportJson: string;
  readonly piecesJson: string;
}

/** Findings by which a cutter would call a block odd. */
const UNUSUAL = /^UNUSUAL_/;

/** Draft the body of one row. A row without a body becomes a refused one, so that every row has its line. */
export function surveyRow(row: TableRow, options: SurveyOptions): SurveyedRow {
  const { result, pieces } = row.kind === 'body' ? draftForSurvey(row.body, options) : refusal(row);
  return {
    state: result.state,
    isAsked: result.asks.length > 0,
    isUnusual: result.findings.some((code) => UNUSUAL.test(code)),
    reportJson: writtenJsonLine(result),
    piecesJson: writtenJsonLine(pieces),
  };
}

function refusal({ line, ref, faults }: Extract<TableRow, { kind: 'unreadable' }>): {
  readonly result: SurveyResult;
  readonly pieces: SurveyPieces;
} {
  const result: SurveyResult = {
    ref,
    state: 'refused',
    reason: `line ${line} cannot be read: ${faults.join(' ')}`,
    splitMove: null,
    depthMove: null,
    asks: [],
    findings: [],
    residuals: null,
    altered: null,
  };
  return { result, pieces: { ref, targets: null, block: null, altered: null } };
}
