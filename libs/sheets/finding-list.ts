import type { Point } from '#geometry';
import type { Bounds } from './box.js';
import { textMark, type Mark } from './display-list.js';
import { firstThat } from './first-that.js';
import { TEXT } from './pens.js';
import type { CheckContentRule } from './check-content.js';
import type { NumberedFinding } from './proof-finding-signs.js';
import { findingSign, SIGN_HALF_MM } from './signs.js';
import { layHeading, linePitchMm, type Laid } from './table.js';
import { textWidthMm, wrapText, type TextStyle, type TextWidths } from './text-widths.js';

const LEVEL_WORDS = { info: 'Info', warning: 'Warning', stop: 'STOP' } as const;

/** Ways to set the list, roomy first. */
interface Setting {
  readonly columns: 1 | 2;
  readonly style: TextStyle;
  readonly strong: TextStyle;
  /** Which findings say what to do; the others leave it to draft.json. */
  readonly actions: 'all' | 'stops' | 'none';
}

const SETTINGS: readonly Setting[] = [
  { columns: 1, style: TEXT.row, strong: TEXT.rowStrong, actions: 'all' },
  { columns: 2, style: TEXT.small, strong: TEXT.smallStrong, actions: 'all' },
  { columns: 2, style: TEXT.small, strong: TEXT.smallStrong, actions: 'stops' },
];

const SIGN_ROOM_MM = 2 * SIGN_HALF_MM + 1.4;
const COLUMN_GAP_MM = 5;
const ITEM_GAP_MM = 1.1;
const HEAD_MM = 5;

/** A finding with what stands beside it: what a rule made of it, and the code by which it can be corrected. */
export interface ListedFinding extends NumberedFinding {
  readonly ruled?: CheckContentRule;
  readonly correction?: string;
}

export interface FindingList extends Laid {
  /** Those that are in the list: the drawing shows no others. */
  readonly listed: readonly ListedFinding[];
}

/** Height of the roomiest setting: what the list would like to have. */
export function findingListWishMm(
  findings: readonly NumberedFinding[],
  widthMm: number,
  widths: TextWidths,
): number {
  const items = findings.map((finding) => itemOf(finding, SETTINGS[0], widthMm - SIGN_ROOM_MM, widths));
  return HEAD_MM + items.reduce((sum, item) => sum + item.heightMm + ITEM_GAP_MM, 0);
}

/**
 * The findings in the room between `top` and `bottom`: in one column, in two smaller ones, then without the actions
 * of warnings and infos, then as many as fit with the number of those left out. Nothing is cut within a finding. `file`
 * is where the rest stands.
 */
export function layFindings(
  findings: readonly ListedFinding[],
  area: Bounds,
  widths: TextWidths,
  file = 'draft.json',
): FindingList {
  return firstThat(
    SETTINGS,
    (setting) => set(findings, setting, area, widths, file),
    (list) => list.listed.length === findings.length,
  );
}

function set(
  findings: readonly ListedFinding[],
  setting: Setting,
  area: Bounds,
  widths: TextWidths,
  file: string,
): FindingList {
  const { left, right, top, bottom } = area;
  const columnMm = (right - left - COLUMN_GAP_MM * (setting.columns - 1)) / setting.columns;
  const first = top - HEAD_MM;
  const floor = bottom + linePitchMm(TEXT.small);
  const marks: Mark[] = [];
  const listed: ListedFinding[] = [];
  let column = 0;
  let y = first;
  let lowest = first;
  for (const finding of findings) {
    const item = itemOf(finding, setting, columnMm - SIGN_ROOM_MM, widths);
    if (y - item.heightMm < floor) {
      column++;
      y = first;
    }
    if (column >= setting.columns || y - item.heightMm < floor) break;
    marks.push(...itemMarks(finding, item, setting, left + column * (columnMm + COLUMN_GAP_MM), y, widths));
    listed.push(finding);
    y -= item.heightMm + ITEM_GAP_MM;
    lowest = Math.min(lowest, y);
  }
  const leftOut = findings.length - listed.length;
  marks.push(...noteMarks(findings.length, leftOut, setting, area, widths, file));
  return { marks, heightMm: top - lowest, listed };
}

function noteMarks(
  count: number,
  leftOut: number,
  setting: Setting,
  area: Bounds,
  widths: TextWidths,
  file: string,
): Mark[] {
  const heading = layHeading(`Findings (${count})`, area, widths);
  const notes = [
    ...(setting.actions === 'stops' ? [`what to do about warnings and infos: ${file}`] : []),
    ...(leftOut > 0 ? [`${leftOut} more in ${file}`] : []),
    ...(count === 0 ? ['None.'] : []),
  ];
  if (notes.length === 0) return [...heading.marks];
  const y = count === 0 ? area.top - heading.heightMm - TEXT.small.sizeMm : area.bottom + 0.6;
  return [...heading.marks, textMark(notes.join(' · '), TEXT.small, { at: { x: area.left, y } }, widths)];
}

interface Item {
  readonly word: string;
  readonly indentMm: number;
  readonly lines: readonly string[];
  readonly actionLines: readonly string[];
  readonly heightMm: number;
}

function itemOf(
  { finding, ruled, correction }: ListedFinding,
  setting: Setting,
  widthMm: number,
  widths: TextWidths,
): Item {
  const word = ruled?.by === 'ignored' ? 'Set aside:' : LEVEL_WORDS[finding.level];
  const message = ruled === undefined ? finding.message : `${ruled.words}. ${finding.message}`;
  const indentMm = textWidthMm(`${word} `, setting.strong, widths) + 0.4;
  const lines = wrapText(message, widthMm, setting.style, widths, indentMm);
  const acts = setting.actions === 'all' || (setting.actions === 'stops' && finding.level === 'stop');
  const actions = [
    ...(acts && finding.action !== '' ? [`→ ${finding.action}`] : []),
    ...(correction === undefined ? [] : [`Can be corrected: ask for ${correction}.`]),
  ];
  const actionLines = actions.flatMap((text) => wrapText(text, widthMm, setting.style, widths));
  const textMm = (lines.length + actionLines.length) * linePitchMm(setting.style);
  return { word, indentMm, lines, actionLines, heightMm: Math.max(textMm, 2 * SIGN_HALF_MM) };
}

function itemMarks(
  listed: ListedFinding,
  item: Item,
  setting: Setting,
  left: number,
  top: number,
  widths: TextWidths,
): Mark[] {
  const x = left + SIGN_ROOM_MM;
  const pitch = linePitchMm(setting.style);
  const baseline = (row: number): number => top - setting.style.sizeMm - row * pitch;
  const centre = { x: left + SIGN_HALF_MM, y: top - SIGN_HALF_MM };
  return [
    ...signOf(listed, centre, widths),
    textMark(item.word, setting.strong, { at: { x, y: baseline(0) } }, widths),
    ...[...item.lines, ...item.actionLines].flatMap((text, row) => {
      const at = { x: row === 0 ? x + item.indentMm : x, y: baseline(row) };
      return text === '' ? [] : [textMark(text, setting.style, { at }, widths)];
    }),
  ];
}

/** The sign of a finding; of one that was set aside, by the level it had. */
export function signOf(
  { number, finding, ruled }: ListedFinding,
  centre: Point,
  widths: TextWidths,
): readonly Mark[] {
  return ruled?.by === 'ignored'
    ? findingSign(ruled.was, number, centre, widths, true)
    : findingSign(finding.level, number, centre, widths);
}
