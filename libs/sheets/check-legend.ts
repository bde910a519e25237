import { line, type Point } from '#geometry';
import type { Bounds } from './box.js';
import type { CheckContent } from './check-content.js';
import { strokeMark, textMark, type Mark } from './display-list.js';
import { CHECK_PENS, PENS, TEXT } from './pens.js';
import { findingSign, stateMarks } from './signs.js';
import { linePitchMm } from './table.js';
import { textWidthMm, type TextStyle, type TextWidths } from './text-widths.js';

const SAMPLE_MM = 8;
const SIGN_MM = 4;
const GAP_MM = 5;
const TEXT_GAP_MM = 1.4;

interface Entry {
  readonly text: string;
  readonly style?: TextStyle;
  /** Room that its sample takes before the text. */
  readonly sampleMm?: number;
  readonly draw?: (from: Point) => readonly Mark[];
}

/** The scale and the meaning of every line and sign that is on the sheet, on one line or two; then what is not drawn. */
export function layCheckLegend(
  content: CheckContent,
  scale: number,
  left: readonly string[],
  area: Bounds,
  widths: TextWidths,
): Mark[] {
  const marks: Mark[] = [];
  let [x, y] = [area.left, area.top];
  for (const { text, style = TEXT.small, sampleMm = 0, draw } of entriesOf(content, scale, left, widths)) {
    const wholeMm = sampleMm + textWidthMm(text, style, widths);
    if (x > area.left && x + wholeMm > area.right) [x, y] = [area.left, y - linePitchMm(TEXT.small)];
    marks.push(...(draw?.({ x, y: y + 0.75 }) ?? []));
    marks.push(textMark(text, style, { at: { x: x + sampleMm, y } }, widths));
    x += wholeMm + GAP_MM;
  }
  return marks;
}

function entriesOf(
  content: CheckContent,
  scale: number,
  left: readonly string[],
  widths: TextWidths,
): Entry[] {
  const { pieces, seams, corners, lines, findings, isScaled } = content;
  const states = [...seams, ...corners, ...lines].map(({ state }) => state);
  const isOff = pieces.some((piece) => piece.seams.some(({ state }) => state === 'off'));
  const isAside = findings.some(({ ruled }) => ruled?.by === 'ignored');
  const stroke = (pen: (typeof PENS)['seam'] | (typeof CHECK_PENS)['off' | 'cut']) => ({
    sampleMm: SAMPLE_MM + TEXT_GAP_MM,
    draw: ({ x, y }: Point) => [strokeMark([line({ x, y }, { x: x + SAMPLE_MM, y })], pen)],
  });
  const state = (name: 'off' | 'fixed') => ({
    sampleMm: SIGN_MM,
    draw: ({ x, y }: Point) => stateMarks(name, { x: x + 1, y }),
  });
  return [
    isScaled
      ? { text: `Pieces 1:${scale}` }
      : {
          text: 'Unit unknown: the shapes are drawn to fit, without measures.',
          style: TEXT.smallStrong,
        },
    { text: 'cut line', ...stroke(CHECK_PENS.cut) },
    ...(isScaled ? [{ text: 'seam that fits', ...stroke(PENS.seam) }] : []),
    ...(isOff ? [{ text: 'seam that is off', ...stroke(CHECK_PENS.off) }] : []),
    ...(states.includes('off') ? [{ text: 'off', ...state('off') }] : []),
    ...(states.includes('fixed') ? [{ text: 'fixed: fits with its ease', ...state('fixed') }] : []),
    ...(isAside
      ? [
          {
            text: 'set aside by the rules',
            sampleMm: SIGN_MM + 2,
            draw: ({ x, y }: Point) => findingSign('stop', '', { x: x + 2.2, y }, widths, true),
          },
        ]
      : []),
    ...left.map((text) => ({ text })),
  ];
}
