import type { Moved } from '#pattern';
import { degText, mmText, signedDegText, signedMmText } from './number-words.js';
import type { AddedRow, CornerRow, EstimateRow, FitRow, MeasureRow, SeamRow } from './proof-content.js';
import type { Cell, Column, Table } from './table.js';

/** What a cell holds where there is no number. */
const NONE = '–';

export function seamsTable(rows: readonly SeamRow[], rowsMax: number): Table {
  const { shown, note } = cut(rows, rowsMax, 'truing.json');
  return {
    heading: 'Seams',
    columns: [start('mm'), end('first'), end('second'), end('difference'), end('allowed'), start('state')],
    rows: shown.map((row): Cell[] => [
      row.seam,
      mmText(row.firstMm),
      row.secondMm === undefined ? 'its mirror' : mmText(row.secondMm),
      row.differenceMm === undefined ? NONE : signedMmText(row.differenceMm),
      allowedText(row.allowedMm),
      { state: row.state },
    ]),
    ...note,
  };
}

function allowedText(allowed: SeamRow['allowedMm']): string {
  if (allowed === undefined) return NONE;
  if (typeof allowed === 'number') return `±${mmText(allowed)}`;
  if (allowed.fromMm === -allowed.toMm) return `±${mmText(allowed.toMm)}`;
  return `${signedMmText(allowed.fromMm)} to ${signedMmText(allowed.toMm)}`;
}

export function cornersTable(rows: readonly CornerRow[], rowsMax: number): Table {
  const { shown, note } = cut(rows, rowsMax, 'truing.json');
  return {
    heading: 'Corners as sewn',
    columns: [start('degrees'), end('angles'), end('sum'), end('target'), end('deviation'), start('state')],
    rows: shown.map((row): Cell[] => [
      row.at,
      row.anglesDeg.map(degText).join(' + '),
      degText(row.sumDeg),
      degText(row.targetDeg),
      signedDegText(row.deviationDeg),
      { state: row.state },
    ]),
    ...note,
  };
}

const SHAPE_WORDS = { strip: 'strip', 'folded-strip': 'strip, folded', diamond: 'diamond' } as const;

/** What has to be cut beside front and back. */
export function addedTable(rows: readonly AddedRow[], rowsMax: number): Table {
  const { shown, note } = cut(rows, rowsMax, 'draft.json');
  return {
    heading: 'Pieces added, by their seam lines',
    columns: [start('mm'), start('shape'), start('sewn to'), end('length'), end('width'), end('cut')],
    rows: shown.map(({ name, shape, sewnTo, lengthMm, widthMm, count }): Cell[] => [
      name,
      SHAPE_WORDS[shape],
      sewnTo,
      mmText(lengthMm),
      mmText(widthMm),
      `${count} ×`,
    ]),
    ...note,
  };
}

export function measuresTable(rows: readonly MeasureRow[], rowsMax: number): Table {
  const { shown, note } = cut(rows, rowsMax, 'draft.json');
  const optional = (value: number | undefined, text: (mm: number) => string): string =>
    value === undefined ? NONE : text(value);
  return {
    // The altered pieces measure what is written on the drawing; these are what the body was held against.
    heading: 'Measures of the block',
    columns: [start('mm'), end('body'), end('ease'), end('target'), end('drafted'), end('difference')],
    rows: shown.map((row): Cell[] => [
      row.name,
      optional(row.bodyMm, mmText),
      optional(row.easeMm, signedMmText),
      optional(row.targetMm, mmText),
      mmText(row.draftedMm),
      optional(row.differenceMm, signedMmText),
    ]),
    ...note,
  };
}

/** What stands in for a try-on; where rows are cut, what is not green stays. */
export function fitTable(rows: readonly FitRow[], rowsMax: number): Table {
  const { shown, note } = cut(rows, rowsMax, 'draft.json');
  return {
    heading: 'Fit, before any try-on',
    columns: [start('mm'), end('has'), end('green'), start('state')],
    rows: shown.map(({ name, valueMm, green, state }): Cell[] => [
      name,
      roundedText(valueMm),
      greenText(green),
      { state },
    ]),
    ...note,
  };
}

function greenText({ minMm, maxMm }: FitRow['green']): string {
  if (minMm === undefined) return maxMm === undefined ? 'any' : `to ${roundedText(maxMm)}`;
  return maxMm === undefined
    ? `from ${roundedText(minMm)}`
    : `${roundedText(minMm)} to ${roundedText(maxMm)}`;
}

/** Whole millimetres: none of these figures is better than that. */
function roundedText(valueMm: number): string {
  return String(Math.round(valueMm)).replace('-', '−').replace(/^−0$/, '0');
}

/** What each step moved, in the order of the steps. Moves that print as 0.0 are left out. */
export function movedTable(moved: readonly Moved[], rowsMax: number): Table {
  const { shown, note } = cut(
    moved.filter((m) => Math.abs(m.byMm) >= 0.05),
    rowsMax,
    'draft.json',
  );
  return {
    heading: 'What moved',
    columns: [start('step: part'), end('mm')],
    rows: shown.map((m): Cell[] => [
      `${m.operation}: ${m.piece === undefined ? '' : `${m.piece} `}${m.part}`,
      m.beforeMm === undefined ? mmText(m.byMm) : signedMmText(m.byMm),
    ]),
    ...note,
  };
}

/** The first `count` estimates in words, and how many more there are. */
export function estimatesText(rows: readonly EstimateRow[], count: number): string {
  const parts = rows.slice(0, count).map((row) => {
    const spread = row.plusMinusMm === undefined ? '' : ` ± ${mmText(row.plusMinusMm)}`;
    return `${row.name} ${mmText(row.valueMm)}${spread}`;
  });
  const more = count < rows.length ? ` · ${rows.length - count} more in draft.json` : '';
  return `Estimated, not measured: ${parts.join(' · ')}${more}.`;
}

/**
 * As many rows of a list as the room allows, and a note that says how many more there are and where. Rows that are
 * off come before the others: what decides is never the row left out.
 */
function cut<T extends object>(
  rows: readonly T[],
  rowsMax: number,
  file: string,
): { readonly shown: readonly T[]; readonly note: { readonly note?: string } } {
  if (rows.length <= rowsMax) return { shown: rows, note: {} };
  const isOff = (row: T): boolean =>
    'state' in row && (row.state === 'off' || row.state === 'red' || row.state === 'amber');
  const kept = new Set([...rows.filter(isOff), ...rows.filter((row) => !isOff(row))].slice(0, rowsMax));
  return {
    shown: rows.filter((row) => kept.has(row)),
    note: { note: `${rows.length - rowsMax} more in ${file}` },
  };
}

function start(head: string): Column {
  return { head, align: 'start' };
}

function end(head: string): Column {
  return { head, align: 'end' };
}
