/** One row of a table. */
export interface CsvRow {
  /** Line of the file, from 1. */
  readonly line: number;
  readonly cells: readonly string[];
  /** What is wrong with it as CSV; its cells then mean nothing. */
  readonly fault?: string;
}

/** No row of body measures is a tenth of this. */
const ROW_LENGTH_MAX = 10_000;

/**
 * The rows of a CSV text that comes in pieces.
 *
 * Shape      one row a line, lines end in LF or CRLF, commas between cells. A cell may stand in double quotes and
 *            then hold commas and doubled quotes, but no line break: no measure or reference has one. Spaces round a
 *            cell are taken away. Empty lines and a byte order mark in front are skipped.
 * Errors     a row that is too long, or quoted wrongly, carries a `fault`; the rows behind it are read on.
 * Cost       one pass; memory for one row and one piece.
 * Source     RFC 4180.
 */
export async function* csvRows(pieces: AsyncIterable<string>): AsyncGenerator<CsvRow> {
  let line = 0;
  for await (const text of linesOf(pieces)) {
    line += 1;
    const plain = line === 1 && text.startsWith('\uFEFF') ? text.slice(1) : text;
    if (plain.trim() !== '') yield rowOf(plain, line);
  }
}

async function* linesOf(pieces: AsyncIterable<string>): AsyncGenerator<string> {
  let rest = '';
  for await (const piece of pieces) {
    const parts = (rest + piece).split('\n');
    // What is over the limit is not needed to say that it is.
    rest = parts.pop()?.slice(0, ROW_LENGTH_MAX + 1) ?? '';
    yield* parts;
  }
  yield rest;
}

function rowOf(text: string, line: number): CsvRow {
  if (text.length > ROW_LENGTH_MAX)
    return { line, cells: [], fault: `has more than ${ROW_LENGTH_MAX} characters` };
  const cells = cellsOf(text.endsWith('\r') ? text.slice(0, -1) : text);
  return cells === undefined
    ? { line, cells: [], fault: 'has a double quote where none may be' }
    : { line, cells };
}

const CELL = / *(?:"((?:[^"]|"")*)" *|([^",]*))(?:,|$)/y;

function cellsOf(text: string): string[] | undefined {
  const cells: string[] = [];
  CELL.lastIndex = 0;
  // Every match takes a comma or ends at the end of the text; the text's length bounds the loop.
  for (;;) {
    const match = CELL.exec(text);
    if (match === null) return undefined;
    cells.push((match[1]?.replaceAll('""', '"') ?? match[2]).trim());
    if (CELL.lastIndex === text.length && !match[0].endsWith(',')) return cells;
  }
}
