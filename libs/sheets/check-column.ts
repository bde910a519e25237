import { line } from '#geometry';
import type { Bounds } from './box.js';
import type { CheckContent } from './check-content.js';
import { layHead } from './check-head.js';
import {
  changedTable,
  cornerTable,
  lineTable,
  movedTable,
  seamTable,
  type TableRooms,
} from './check-tables.js';
import { strokeMark, textMark, type Mark } from './display-list.js';
import { layFindings } from './finding-list.js';
import { firstThat } from './first-that.js';
import { PENS, TEXT } from './pens.js';
import { layHeading, layTable, linePitchMm, stack, type Laid, type Strip } from './table.js';
import { wrapText, type TextWidths } from './text-widths.js';

export interface LaidColumn {
  readonly marks: readonly Mark[];
  /** Numbers of the findings that had room. */
  readonly listed: ReadonlySet<number>;
}

const SIGNATURE_MM = 13;
const TABLES_GAP_MM = 3;
/** Findings get as much at least, whatever the tables would like. */
const FINDINGS_MM = 45;

/** What a trouser has is half of it; of a hundred stated seams the rest stands in the report. */
export const SEAM_ROWS_MAX = 16;
const ROOMS: readonly TableRooms[] = [
  { seams: SEAM_ROWS_MAX, moved: 16, changed: 8 },
  { seams: 10, moved: 10, changed: 6 },
  { seams: 7, moved: 5, changed: 3 },
];

/** Verdict, what was moved and what is eased, tables, findings and the place to sign. */
export function layColumn(content: CheckContent, area: Bounds, widths: TextWidths): LaidColumn {
  const head = layHead(content, area, widths);
  const strip = { left: area.left, right: area.right, top: area.top - head.heightMm };
  const bottom = area.bottom + SIGNATURE_MM;
  const laid = firstThat(
    ROOMS,
    (rooms) => layTables(content, rooms, strip, widths),
    ({ heightMm }) => strip.top - heightMm - bottom >= FINDINGS_MM,
  );
  const rest = { ...area, top: strip.top - laid.heightMm, bottom };
  const list = layFindings(content.findings, rest, widths, 'the report');
  return {
    marks: [...head.marks, ...laid.marks, ...list.marks, ...signature(content, area, widths)],
    listed: new Set(list.listed.map(({ number }) => number)),
  };
}

function layTables(content: CheckContent, rooms: TableRooms, strip: Strip, widths: TextWidths): Laid {
  const tables = [
    movedTable(content, rooms.moved),
    changedTable(content, rooms.changed),
    seamTable(content, rooms.seams),
    cornerTable(content),
    lineTable(content),
  ].filter(({ rows }) => rows.length > 0);
  const { eases } = content;
  const parts = [
    ...(eases.length === 0 ? [] : [(each: Strip) => layEases(eases, each, widths)]),
    ...tables.map((table) => (each: Strip) => layTable(table, each, widths)),
  ];
  return stack(parts, strip, TABLES_GAP_MM);
}

/** What the sewer has to do: no line of the pattern shows it. */
function layEases(eases: readonly string[], strip: Strip, widths: TextWidths): Laid {
  const heading = layHeading('For the sewer', strip, widths);
  const pitch = linePitchMm(TEXT.rowStrong);
  const lines = eases.flatMap((words) => wrapText(words, strip.right - strip.left, TEXT.rowStrong, widths));
  const first = strip.top - heading.heightMm - TEXT.rowStrong.sizeMm;
  return {
    marks: [
      ...heading.marks,
      ...lines.map((text, i) =>
        textMark(text, TEXT.rowStrong, { at: { x: strip.left, y: first - i * pitch } }, widths),
      ),
    ],
    heightMm: heading.heightMm + lines.length * pitch,
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
