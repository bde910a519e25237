import { PendingFile } from './pending-file.js';
import type { SurveyedRow } from './survey-row.js';

export interface SurveyHead {
  readonly engine: string;
  readonly alteration: string | null;
  readonly ease: string;
}

export interface SurveyCounts {
  readonly count: number;
  readonly asMeasured: number;
  readonly splitMoved: number;
  readonly refused: number;
  readonly unusual: number;
  readonly asked: number;
}

/**
 * Writes a population report, and the pieces beside it, row by row.
 *
 * The counts stand before the rows they count, so rows wait in a file of their own; memory does not grow with the
 * table.
 */
export class SurveyWriter {
  private counts: SurveyCounts = {
    count: 0,
    asMeasured: 0,
    splitMoved: 0,
    refused: 0,
    unusual: 0,
    asked: 0,
  };

  private constructor(
    private readonly report: PendingFile,
    private readonly rows: PendingFile,
    private readonly pieces: PendingFile | undefined,
  ) {}

  static async open(reportPath: string, piecesPath: string | undefined): Promise<SurveyWriter> {
    const pieces = piecesPath === undefined ? undefined : await PendingFile.open(piecesPath);
    return new SurveyWriter(await PendingFile.open(reportPath), await PendingFile.open(reportPath), pieces);
  }

  async add({ state, isUnusual, isAsked, reportJson, piecesJson }: SurveyedRow): Promise<void> {
    const { count, asMeasured, splitMoved, refused, unusual, asked } = this.counts;
    await this.rows.write(`${count === 0 ? '' : ','}\n${reportJson}`);
    await this.pieces?.write(`${piecesJson}\n`);
    this.counts = {
      count: count + 1,
      asMeasured: asMeasured + (state === 'as-measured' ? 1 : 0),
      splitMoved: splitMoved + (state === 'split-moved' ? 1 : 0),
      refused: refused + (state === 'refused' ? 1 : 0),
      unusual: unusual + (isUnusual ? 1 : 0),
      asked: asked + (isAsked ? 1 : 0),
    };
  }

  /** Put the files in their places. `seconds` is the only figure of the report that differs between two runs. */
  async finish(head: SurveyHead, seconds: number): Promise<SurveyCounts> {
    await this.report.write(`${JSON.stringify({ ...head, ...this.counts }).slice(0, -1)},"results":[`);
    await this.report.append(this.rows);
    await this.report.write(`\n],"seconds":${seconds}}\n`);
    await this.rows.discard();
    await this.pieces?.place();
    await this.report.place();
    return this.counts;
  }
}
