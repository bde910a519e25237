import { line } from '#geometry';
import type { Bounds } from './box.js';
import type { CheckContent } from './check-content.js';
import { strokeMark, textMark, type Mark } from './display-list.js';
import { layFindings } from './finding-list.js';
import { mmText, signedMmText } from './number-words.js';
import { PENS, TEXT } from './pens.js';
import { stateMarks } from './signs.js';
import { layTable, stack, type Strip, type Table } from './table.js';
import { shortened, type TextWidths } from './text-widths.js';

export interface LaidColumn {
  readonly marks: readonly Mark[];
  /** Numbers of the findings that had room. */
  readonly listed: ReadonlySet<number>;
}

const HEAD_MM = 26;
const SIGNATURE_MM = 13;
const TABLES_GAP_MM = 3;

/** Verdict, tables, findings and the place to sign. */
export function layColumn(content: CheckContent, area: Bounds, widths: TextWidths): LaidColumn {
  const head = headMarks(content, area, widths);
  const tables = [seamTable(content), cornerTable(content), lineTable(content)].filter(
    ({ rows }) => rows.length > 0,
  );
  const laid = stack(
    tables.map((table) => (strip: Strip) => layTable(table, strip, widths)),
    { left: area.left, right: area.right, top: area.top - HEAD_MM },
    TABLES_GAP_MM,
  );
  const rest = { ...area, top: area.top - HEAD_MM - laid.heightMm, bottom: area.bottom + SIGNATURE_MM };
  const list = layFindings(content.findings, rest, widths, 'the report');
  return {
    marks: [...head, ...laid.marks, ...list.marks, ...signature(content, area, widths)],
    listed: new Set(list.listed.map(({ number }) => number)),
  };
}

function headMarks(
  { reference, verdict, sewable, facts }: CheckContent,
  { left, right, top }: Bounds,
  widths: TextWidths,
): Mark[] {
  return [
    textMark(
      shortened(reference, right - left, TEXT.reference, widths),
      TEXT.reference,
      { at: { x: left, y: top - 6 } },
      widths,
    ),
    textMark('Check of a pattern from outside', TEXT.title, { at: { x: left, y: top - 11 } }, widths),
    ...stateMarks(sewable ? 'ok' : 'off', { x: left + 1.2, y: top - 15.2 }),
    textMark(verdict, TEXT.verdict, { at: { x: left + 4, y: top - 16.4 } }, widths),
    textMark(
      shortened(facts, right - left, TEXT.small, widths),
      TEXT.small,
      { at: { x: left, y: top - 21 } },
      widths,
    ),
  ];
}

/** What a trouser has is half of it; of a hundred stated seams the rest stands in the report. */
export const SEAM_ROWS_MAX = 16;
const SEAM_NAME_LETTERS = 44;

function cutShort(words: string): string {
  return words.length > SEAM_NAME_LETTERS ? `${words.slice(0, SEAM_NAME_LETTERS)}…` : words;
}

/** What differs is the second less the first, so every row names both. */
function seamTable({ seams }: CheckContent): Table {
  const shown = [...seams]
    .sort((a, b) => Number(b.state === 'off') - Number(a.state === 'off'))
    .slice(0, SEAM_ROWS_MAX)
    .sort((a, b) => seams.indexOf(a) - seams.indexOf(b));
  return {
    heading: 'Seams (mm)',
    columns: [
      { head: 'Seam', align: 'start' },
      { head: 'First', align: 'end' },
      { head: 'Second', align: 'end' },
      { head: 'Differs', align: 'end' },
      { head: 'Allowed', align: 'end' },
      { head: 'State', align: 'end' },
    ],
    rows: shown.map(({ name, first, second, allowed, state }) => [
      cutShort(`${name}: ${first.name}, ${second.name}`),
      mmText(first.lengthMm),
      mmText(second.lengthMm),
      signedMmText(second.lengthMm - first.lengthMm),
      -allowed.min === allowed.max
        ? `±${mmText(allowed.max)}`
        : `${signedMmText(allowed.min)} to ${signedMmText(allowed.max)}`,
      { state },
    ]),
    ...(shown.length < seams.length ? { note: `${seams.length - shown.length} more in the report` } : {}),
  };
}

function cornerTable({ corners }: CheckContent): Table {
  return {
    heading: 'Corners once sewn (degrees)',
    columns: [
      { head: 'Corner', align: 'start' },
      { head: 'Is', align: 'end' },
      { head: 'Should be', align: 'end' },
      { head: 'Differs', align: 'end' },
      { head: 'State', align: 'end' },
    ],
    rows: corners.map(({ name, sumDeg, targetDeg, state }) => [
      name,
      mmText(sumDeg),
      targetDeg.toFixed(0),
      signedMmText(sumDeg - targetDeg),
      { state },
    ]),
  };
}

function lineTable({ lines }: CheckContent): Table {
  return {
    heading: 'Balance lines along their seam from the hem (mm)',
    columns: [
      { head: 'Line', align: 'start' },
      { head: 'Front', align: 'end' },
      { head: 'Back', align: 'end' },
      { head: 'Differs', align: 'end' },
      { head: 'State', align: 'end' },
    ],
    rows: lines.map(({ name, frontMm, backMm, state }) => [
      name,
      mmText(frontMm),
      mmText(backMm),
      signedMmText(backMm - frontMm),
      { state },
    ]),
  };
}

function signature({ engine }: CheckContent, { left, right, bottom }: Bounds, widths: TextWidths): Mark[] {
  const y = bottom + 4.5;
  return [
    strokeMark(
      [line({ x: left, y }, { x: left + 62, y }), line({ x: left + 70, y }, { x: right, y })],
      PENS.rule,
    ),
    textMark('Checked by', TEXT.small, { at: { x: left, y: y - 2.8 } }, widths),
    textMark('Date', TEXT.small, { at: { x: left + 70, y: y - 2.8 } }, widths),
    textMark(engine, TEXT.small, { at: { x: right, y: y - 2.8 }, anchor: 'end' }, widths),
  ];
}
