import type { CheckContent, RuledRow } from './check-content.js';
import { mmText, signedMmText } from './number-words.js';
import type { Cell, Column, Table } from './table.js';

/** How many rows of each table there is room for. */
export interface TableRooms {
  readonly seams: number;
  readonly moved: number;
  readonly changed: number;
}

const SEAM_NAME_LETTERS = 44;

function cutShort(words: string): string {
  return words.length > SEAM_NAME_LETTERS ? `${words.slice(0, SEAM_NAME_LETTERS)}…` : words;
}

/** What is off stays off; beside it stands what the rules made of it, as at its finding. */
function stateCell({ state, ruled }: RuledRow): Cell {
  return { state, ...(ruled === undefined ? {} : { word: ruled }) };
}

function columns(first: string, ...others: readonly string[]): Column[] {
  return [{ head: first, align: 'start' }, ...others.map((head): Column => ({ head, align: 'end' }))];
}

function more(count: number, shown: number): Pick<Table, 'note'> {
  return shown < count ? { note: `${count - shown} more in the report` } : {};
}

/** What differs is the second less the first, so every row names both. */
export function seamTable({ seams }: CheckContent, rows: number): Table {
  const shown = [...seams]
    .sort((a, b) => Number(b.state === 'off') - Number(a.state === 'off'))
    .slice(0, rows)
    .sort((a, b) => seams.indexOf(a) - seams.indexOf(b));
  return {
    heading: 'Seams (mm)',
    columns: columns('Seam', 'First', 'Second', 'Differs', 'Allowed', 'State'),
    rows: shown.map(({ name, first, second, allowed, ...row }) => [
      cutShort(`${name}: ${first.name}, ${second.name}`),
      mmText(first.lengthMm),
      mmText(second.lengthMm),
      signedMmText(second.lengthMm - first.lengthMm),
      -allowed.min === allowed.max
        ? `±${mmText(allowed.max)}`
        : `${signedMmText(allowed.min)} to ${signedMmText(allowed.max)}`,
      stateCell(row),
    ]),
    ...more(seams.length, shown.length),
  };
}

export function cornerTable({ corners, corrected }: CheckContent): Table {
  const isCorrected = corrected !== undefined;
  return {
    heading: 'Corners once sewn (degrees)',
    columns: columns('Corner', ...(isCorrected ? ['Was'] : []), 'Is', 'Should be', 'Differs', 'State'),
    rows: corners.map(({ name, wasDeg, sumDeg, targetDeg, ...row }) => [
      name,
      ...(isCorrected ? [wasDeg === undefined ? '' : mmText(wasDeg)] : []),
      mmText(sumDeg),
      targetDeg.toFixed(0),
      signedMmText(sumDeg - targetDeg),
      stateCell(row),
    ]),
  };
}

export function lineTable({ lines }: CheckContent): Table {
  return {
    heading: 'Balance lines along their seam from the hem (mm)',
    columns: columns('Line', 'Front', 'Back', 'Differs', 'State'),
    rows: lines.map(({ name, frontMm, backMm, ...row }) => [
      name,
      mmText(frontMm),
      mmText(backMm),
      signedMmText(backMm - frontMm),
      stateCell(row),
    ]),
  };
}

/** What was done to the file that came, in the order in which it was done. */
export function movedTable({ corrected }: CheckContent, rows: number): Table {
  const moved = corrected?.moved ?? [];
  return {
    heading: 'Corrected: what was moved or eased (mm)',
    columns: [
      { head: 'Operation', align: 'start' },
      { head: 'Piece', align: 'start' },
      { head: 'Part', align: 'start' },
      { head: 'By', align: 'end' },
    ],
    rows: moved
      .slice(0, rows)
      .map(({ operation, piece, part, byMm }) => [operation, piece, cutShort(part), mmText(byMm)]),
    ...more(moved.length, rows),
  };
}

/** Seams that the correction has made longer or shorter. */
export function changedTable({ corrected }: CheckContent, rows: number): Table {
  const seams = corrected?.seams ?? [];
  return {
    heading: 'Seams before and after the correction (mm)',
    columns: columns('Seam', 'First was', 'First is', 'Second was', 'Second is', 'Differed'),
    rows: seams
      .slice(0, rows)
      .map(({ name, first, second }) => [
        cutShort(name),
        mmText(first.beforeMm),
        mmText(first.afterMm),
        mmText(second.beforeMm),
        mmText(second.afterMm),
        signedMmText(second.beforeMm - first.beforeMm),
      ]),
    ...more(seams.length, rows),
  };
}
