import { createReadStream } from 'node:fs';
import { nearestName, readBody, type Problem } from '#contracts';
import { MEASURE_NAMES, NEEDED_MEASURES, type Body, type InsideLegTaken } from '#measurements';
import { csvRows, type CsvRow } from './csv-rows.js';
import { UsageError } from './exit-code.js';
import { problemLine } from './problem-line.js';
import { sizeOf } from './read-request-file.js';

/** One row of a table of bodies: the body, or why there is none. */
export type TableRow =
  | { readonly kind: 'body'; readonly line: number; readonly body: Body }
  | {
      readonly kind: 'unreadable';
      readonly line: number;
      readonly ref: string;
      readonly faults: readonly string[];
    };

/** A table of bodies on disk, read row by row. */
export class BodiesTable {
  private constructor(
    readonly path: string,
    /** Lines behind the header, empty ones too: for a progress bar. */
    readonly lineCount: number,
    private readonly columns: readonly string[],
    private readonly csv: AsyncGenerator<CsvRow>,
    private readonly insideLegTaken: InsideLegTaken,
  ) {}

  /** Throws UsageError when there is no such file, or with all that is wrong with its columns. */
  static async open(path: string, insideLegTaken: InsideLegTaken): Promise<BodiesTable> {
    await sizeOf(path);
    const lineCount = await countLines(path);
    const csv = csvRows(createReadStream(path, 'utf8'));
    const { value: header } = (await csv.next()) as IteratorResult<CsvRow, undefined>;
    return new BodiesTable(path, lineCount, columnsOf(header, path), csv, insideLegTaken);
  }

  /** The rows behind the header, once. */
  async *rows(): AsyncGenerator<TableRow> {
    for await (const row of this.csv) yield readRow(row, this.columns, this.insideLegTaken);
  }
}

async function countLines(path: string): Promise<number> {
  let count = 0;
  for await (const piece of createReadStream(path, 'latin1') as AsyncIterable<string>)
    count += piece.split('\n').length - 1;
  return Math.max(1, count - 1);
}

const COLUMNS = ['ref', 'sex', ...MEASURE_NAMES];
const NEEDED_COLUMNS = ['ref', 'sex', ...NEEDED_MEASURES];

/** The columns of a table by its first row. Throws UsageError with a line for each one that is wrong or missing. */
export function columnsOf(header: CsvRow | undefined, path: string): readonly string[] {
  if (header === undefined)
    throw new UsageError([`${path}: the table is empty; its first row names the columns.`]);
  if (header.fault !== undefined)
    throw new UsageError([`${path}, line ${header.line}: the row ${header.fault}.`]);
  const { cells } = header;
  const faults = [
    ...[...new Set(cells)].flatMap((name) => [...unknownColumn(name), ...repeatedColumn(name, cells)]),
    ...NEEDED_COLUMNS.filter((name) => !cells.includes(name)).map((name) => `the column ${name} is missing.`),
  ];
  if (faults.length > 0) {
    const known = `Columns are ref, sex and any of ${MEASURE_NAMES.join(', ')}; commas stand between them.`;
    throw new UsageError([...faults.map((fault) => `${path}, line ${header.line}: ${fault}`), known]);
  }
  return cells;
}

function unknownColumn(name: string): string[] {
  if (COLUMNS.includes(name)) return [];
  const near = nearestName(name, COLUMNS);
  const hint = near === undefined ? '.' : `; did you mean ${near}?`;
  return [`${JSON.stringify(name.slice(0, 60))} is not a column that is known${hint}`];
}

function repeatedColumn(name: string, cells: readonly string[]): string[] {
  const count = cells.filter((cell) => cell === name).length;
  return count > 1 ? [`the column ${JSON.stringify(name.slice(0, 60))} stands ${count} times.`] : [];
}

/** Read one row as a body. An empty cell is a measure that was not taken. */
export function readRow(row: CsvRow, columns: readonly string[], insideLegTaken: InsideLegTaken): TableRow {
  const { line, cells } = row;
  const ref = cells[columns.indexOf('ref')] ?? '';
  const unreadable = (faults: readonly string[]): TableRow => ({ kind: 'unreadable', line, ref, faults });
  if (row.fault !== undefined) return unreadable([`the row ${row.fault}.`]);
  if (cells.length !== columns.length)
    return unreadable([`the row has ${cells.length} cells and the table ${columns.length} columns.`]);

  const taken = columns.flatMap((name, i) =>
    name === 'ref' || name === 'sex' || cells[i] === '' ? [] : [[name, valueOf(cells[i])] as const],
  );
  const sex = cells[columns.indexOf('sex')];
  const read = readBody({ ref, sex, insideLegTaken, measures: Object.fromEntries(taken) });
  if (read.ok) return { kind: 'body', line, body: read.value };
  return unreadable(read.problems.map((problem) => problemLine(problem, columnName(problem))));
}

// In a table a bare number is millimetres; anything else is text and is read as a length with its unit.
function valueOf(cell: string): number | string {
  return /^-?\d+(\.\d+)?$/.test(cell) ? Number(cell) : cell;
}

function columnName({ pointer }: Problem): string {
  return pointer.split('/').at(-1) ?? '';
}
