import { line } from '#geometry';
import type { Bounds } from './box.js';
import { strokeMark, textMark, type Mark } from './display-list.js';
import { PENS, TEXT } from './pens.js';
import type { CheckState, FitState } from './proof-content.js';
import { STATE_MARK_MM, stateMarks } from './signs.js';
import { textWidthMm, wrapText, type TextStyle, type TextWidths } from './text-widths.js';

export interface Column {
  readonly head: string;
  readonly align: 'start' | 'end';
}

/** A text, or a state: by its own word, or by another where somebody has overruled it. */
export type Cell = string | { readonly state: CheckState | FitState; readonly word?: string };

export interface Table {
  readonly heading: string;
  /** The first column takes the room the others leave, and wraps. */
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly Cell[])[];
  /** A last line under the rows, e.g. how many were left out. */
  readonly note?: string;
}

/** Where to lay: from `top` down, between `left` and `right`. */
export type Strip = Pick<Bounds, 'left' | 'right' | 'top'>;

/** Marks laid from a top edge down, and how far they reach. */
export interface Laid {
  readonly marks: readonly Mark[];
  readonly heightMm: number;
}

const GAP_MM = 3.4;
const HEADING_MM = 4.2;
const HEAD_MM = 3.4;
/** Share of the row that is white. */
const LINE_PITCH = 1.28;
const ROW_GAP_MM = 0.55;

export function linePitchMm(style: TextStyle): number {
  return style.sizeMm * LINE_PITCH;
}

/** Lay parts under each other. */
export function stack(parts: readonly ((strip: Strip) => Laid)[], area: Strip, gapMm: number): Laid {
  const marks: Mark[] = [];
  let top = area.top;
  for (const part of parts) {
    const laid = part({ ...area, top });
    marks.push(...laid.marks);
    top -= laid.heightMm + gapMm;
  }
  return { marks, heightMm: area.top - top };
}

/** A heading over a rule. */
export function layHeading(text: string, { left, right, top }: Strip, widths: TextWidths): Laid {
  const baseline = top - TEXT.heading.sizeMm * 0.82;
  return {
    marks: [
      textMark(text, TEXT.heading, { at: { x: left, y: baseline } }, widths),
      strokeMark(
        [line({ x: left, y: top - HEADING_MM + 0.5 }, { x: right, y: top - HEADING_MM + 0.5 })],
        PENS.rule,
      ),
    ],
    heightMm: HEADING_MM,
  };
}

/**
 * A table.
 *
 * Shape  every column but the first is as wide as its widest cell; the first wraps into the rest. No cell is cut.
 */
export function layTable(table: Table, strip: Strip, widths: TextWidths): Laid {
  const { left, right, top } = strip;
  const heading = layHeading(table.heading, strip, widths);
  const edges = columnEdges(table, left, right, widths);
  const marks: Mark[] = [...heading.marks];
  let y = top - heading.heightMm;
  for (const [i, column] of table.columns.entries()) {
    marks.push(cellText(column.head, TEXT.columnHead, column.align, edges[i], y, widths));
  }
  y -= HEAD_MM;
  const firstWidth = edges[0].right - edges[0].left;
  for (const row of table.rows) {
    const names = wrapText(typeof row[0] === 'string' ? row[0] : row[0].state, firstWidth, TEXT.row, widths);
    for (const [i, text] of names.entries()) {
      marks.push(cellText(text, TEXT.row, 'start', edges[0], y - i * linePitchMm(TEXT.row), widths));
    }
    for (const [i, cell] of row.entries()) {
      if (i > 0) marks.push(...cellMarks(cell, table.columns[i].align, edges[i], y, widths));
    }
    y -= names.length * linePitchMm(TEXT.row) + ROW_GAP_MM;
    marks.push(strokeMark([line({ x: left, y: y + 0.2 }, { x: right, y: y + 0.2 })], PENS.rowRule));
  }
  if (table.note !== undefined) {
    marks.push(cellText(table.note, TEXT.small, 'start', { left, right }, y, widths));
    y -= linePitchMm(TEXT.small);
  }
  return { marks, heightMm: top - y };
}

interface Edges {
  readonly left: number;
  readonly right: number;
}

/** Where the number columns end, as shares of the table: the same for every table of five, so that they line up. */
const GRID = [0.42, 0.565, 0.71, 0.855, 1];

/** Columns on the grid where the cells fit it; else each as wide as its widest cell, from the right. */
function columnEdges(table: Table, left: number, right: number, widths: TextWidths): Edges[] {
  const needs = table.columns.map((column, i) =>
    Math.max(
      textWidthMm(column.head, TEXT.columnHead, widths),
      ...table.rows.map((row) => cellWidthMm(row[i], widths)),
    ),
  );
  return gridEdges(table, needs, left, right) ?? tightEdges(needs, left, right);
}

function gridEdges(table: Table, needs: readonly number[], left: number, right: number): Edges[] | undefined {
  if (table.columns.length !== GRID.length + 1) return undefined;
  const ends = GRID.map((share) => left + share * (right - left));
  const edges = table.columns.map(({ align }, i): Edges => {
    if (i === 0) return { left, right: ends[0] - needs[1] - GAP_MM };
    return align === 'end'
      ? { left: ends[i - 1] - needs[i], right: ends[i - 1] }
      : { left: (ends[i - 2] ?? left) + GAP_MM, right: ends[i - 1] };
  });
  const fits = edges.every((edge, i) => {
    if (i === 0) return edge.right - edge.left >= NAME_MM_MIN;
    return edge.right - edge.left >= needs[i] - 1e-9 && edge.left - edges[i - 1].right >= (i === 1 ? 0 : 2);
  });
  return fits ? edges : undefined;
}

const NAME_MM_MIN = 20;

function tightEdges(needs: readonly number[], left: number, right: number): Edges[] {
  const edges: Edges[] = [];
  let edge = right;
  for (let i = needs.length - 1; i > 0; i--) {
    edges.unshift({ left: edge - needs[i], right: edge });
    edge -= needs[i] + GAP_MM;
  }
  return [{ left, right: edge }, ...edges];
}

function cellWidthMm(cell: Cell, widths: TextWidths): number {
  return typeof cell === 'string'
    ? textWidthMm(cell, TEXT.row, widths)
    : STATE_MARK_MM + textWidthMm(cell.word ?? STATE_WORDS[cell.state], stateStyle(cell.state), widths);
}

const STATE_WORDS: Readonly<Record<CheckState | FitState, string>> = {
  ok: 'ok',
  fixed: 'fixed',
  off: 'OFF',
  'for-finishing': 'for finishing',
  'not-checked': 'not checked',
  green: 'green',
  amber: 'amber',
  red: 'RED',
};

function stateStyle(state: CheckState | FitState): TextStyle {
  return state === 'off' || state === 'red' ? TEXT.rowStrong : TEXT.row;
}

function cellMarks(
  cell: Cell,
  align: 'start' | 'end',
  edges: Edges,
  top: number,
  widths: TextWidths,
): Mark[] {
  if (typeof cell === 'string') return [cellText(cell, TEXT.row, align, edges, top, widths)];
  const word = cell.word ?? STATE_WORDS[cell.state];
  const style = stateStyle(cell.state);
  const middle = { x: edges.left + 0.8, y: top - TEXT.row.sizeMm * 0.6 };
  const text = cellText(
    word,
    style,
    'start',
    { left: edges.left + STATE_MARK_MM, right: edges.right },
    top,
    widths,
  );
  return [...stateMarks(cell.state, middle), text];
}

function cellText(
  text: string,
  style: TextStyle,
  align: 'start' | 'end',
  edges: Edges,
  top: number,
  widths: TextWidths,
): Mark {
  const at = { x: align === 'start' ? edges.left : edges.right, y: top - style.sizeMm * 0.95 };
  return textMark(text, style, { at, anchor: align }, widths);
}
