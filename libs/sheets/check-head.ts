import type { CheckContent } from './check-content.js';
import { textMark, type Mark } from './display-list.js';
import { TEXT } from './pens.js';
import { stateMarks } from './signs.js';
import { linePitchMm, type Laid, type Strip } from './table.js';
import { shortened, sizeThatFits, textWidthMm, wrapText, type TextWidths } from './text-widths.js';

const NAME_SIZES_MM = [TEXT.reference.sizeMm, 4.6, 3.4];
const FACT_GAP_MM = 4;
const LABEL_GAP_MM = 1;
const PART_GAP_MM = 1.2;

/** What is signed: the name of the pattern, the verdict, what the file says, and by what it is known. */
export function layHead(content: CheckContent, strip: Strip, widths: TextWidths): Laid {
  const { left, right, top } = strip;
  const { name, verdict, sewable, facts, notice, corrected } = content;
  const roomMm = right - left;
  const sizeMm = sizeThatFits(name, roomMm, NAME_SIZES_MM, 'semibold', widths);
  const style = { ...TEXT.reference, sizeMm };
  const shownName = shortened(name, roomMm, style, widths);
  const kind = `Check of a pattern from outside${corrected === undefined ? '' : ', as corrected'}`;
  const verdictLines = wrapText(verdict, roomMm - VERDICT_LEFT_MM, TEXT.verdict, widths);
  const marks: Mark[] = [
    textMark(shownName, style, { at: { x: left, y: top - 6 } }, widths),
    textMark(kind, TEXT.title, { at: { x: left, y: top - 11 } }, widths),
    ...stateMarks(sewable ? 'ok' : 'off', { x: left + 1.2, y: top - 15.2 }),
  ];
  let y = top - 16.4;
  const line = (text: string, lineStyle: (typeof TEXT)[keyof typeof TEXT], x: number): void => {
    marks.push(textMark(text, lineStyle, { at: { x, y } }, widths));
    y -= linePitchMm(lineStyle);
  };
  for (const text of verdictLines) line(text, TEXT.verdict, left + VERDICT_LEFT_MM);
  y -= PART_GAP_MM / 2;
  line(shortened(facts, roomMm, TEXT.small, widths), TEXT.small, left);
  const known = shownName === name ? content.identity : [{ label: 'Name', value: name }, ...content.identity];
  const flow = layFlow(known, { left, right, top: y + TEXT.small.sizeMm }, widths);
  marks.push(...flow.marks);
  y -= flow.heightMm;
  // Where nothing is drawn it stands in place of the drawing.
  if (notice !== undefined && content.pieces.length > 0) {
    y -= PART_GAP_MM;
    for (const text of wrapText(notice, roomMm, TEXT.row, widths)) line(text, TEXT.row, left);
  }
  return { marks, heightMm: top - y + PART_GAP_MM };
}

const VERDICT_LEFT_MM = 4;

/** Facts behind each other, each whole on its line. */
function layFlow(facts: CheckContent['identity'], { left, right, top }: Strip, widths: TextWidths): Laid {
  const pitch = linePitchMm(TEXT.small);
  const marks: Mark[] = [];
  let [x, y] = [left, top - TEXT.small.sizeMm];
  for (const { label, value } of facts) {
    const labelMm = textWidthMm(label, TEXT.small, widths) + LABEL_GAP_MM;
    const shown = shortened(value, right - left - labelMm, TEXT.smallStrong, widths);
    const wholeMm = labelMm + textWidthMm(shown, TEXT.smallStrong, widths);
    if (x > left && x + wholeMm > right) [x, y] = [left, y - pitch];
    marks.push(
      textMark(label, TEXT.small, { at: { x, y } }, widths),
      textMark(shown, TEXT.smallStrong, { at: { x: x + labelMm, y } }, widths),
    );
    x += wholeMm + FACT_GAP_MM;
  }
  return { marks, heightMm: facts.length === 0 ? 0 : top - y - TEXT.small.sizeMm + pitch };
}
