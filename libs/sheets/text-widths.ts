/** The two weights a sheet is set in. */
export type TextWeight = 'regular' | 'semibold';

/** Advance widths of one font in thousandths of the text size, by weight and code point. */
export type TextWidths = Readonly<Record<TextWeight, ReadonlyMap<number, number>>>;

/** Size and weight of a piece of text; `sizeMm` is the font size, of which a capital fills 0.7. */
export interface TextStyle {
  readonly sizeMm: number;
  readonly weight: TextWeight;
}

/** How far the ink of a line reaches above and below its baseline, as shares of the text size. */
export const INK_ABOVE = 0.8;
export const INK_BELOW = 0.23;

/** What a character without a glyph takes: a full square, wider than any letter but the broadest ligatures. */
const MISSING_WIDTH = 1000;

/** A table of widths from runs of neighbouring code points: first code point, then widths with blanks between. */
export function rangesOf(
  runs: readonly (readonly [first: number, widths: string])[],
): ReadonlyMap<number, number> {
  const table = new Map<number, number>();
  for (const [first, widths] of runs) {
    for (const [i, width] of widths.split(' ').entries()) table.set(first + i, Number(width));
  }
  return table;
}

/**
 * Length of one line of text in mm: the sum of its advance widths.
 *
 * Accuracy  exact without kerning; with it a word is up to seven percent shorter ("AVAVAV"). The writers switch
 *           kerning off and state this length, so that every viewer fits its letters into it.
 */
export function textWidthMm(text: string, style: TextStyle, widths: TextWidths): number {
  const table = widths[style.weight];
  let total = 0;
  for (const character of text) total += table.get(character.codePointAt(0) ?? 0) ?? MISSING_WIDTH;
  return (total * style.sizeMm) / 1000;
}

/**
 * Text broken into lines no longer than `widthMm`, at blanks; a word longer than a line is broken where it must be.
 *
 * Shape  at least one line; `firstIndentMm` of the first line is taken already, by a number or a word before it.
 */
export function wrapText(
  text: string,
  widthMm: number,
  style: TextStyle,
  widths: TextWidths,
  firstIndentMm = 0,
): string[] {
  const lines: string[] = [];
  let current = '';
  const room = (): number => (lines.length === 0 ? widthMm - firstIndentMm : widthMm);
  for (const word of text.split(/\s+/).filter((part) => part !== '')) {
    const longer = current === '' ? word : `${current} ${word}`;
    if (textWidthMm(longer, style, widths) <= room()) {
      current = longer;
      continue;
    }
    if (current !== '' || lines.length === 0) lines.push(current);
    const parts = brokenWord(word, widthMm, style, widths);
    lines.push(...parts.slice(0, -1));
    current = parts[parts.length - 1];
  }
  lines.push(current);
  return lines[0] === '' && firstIndentMm === 0 && lines.length > 1 ? lines.slice(1) : lines;
}

function brokenWord(word: string, widthMm: number, style: TextStyle, widths: TextWidths): string[] {
  const parts: string[] = [];
  let part = '';
  for (const character of word) {
    if (part !== '' && textWidthMm(part + character, style, widths) > widthMm) {
      parts.push(part);
      part = '';
    }
    part += character;
  }
  parts.push(part);
  return parts;
}

/** As much of a text as fits on one line of `widthMm`, with an ellipsis for the rest. */
export function shortened(text: string, widthMm: number, style: TextStyle, widths: TextWidths): string {
  if (textWidthMm(text, style, widths) <= widthMm) return text;
  const characters = [...text];
  let restMm = widthMm - textWidthMm('…', style, widths);
  const first = characters.findIndex((character) => (restMm -= textWidthMm(character, style, widths)) < 0);
  return `${characters.slice(0, Math.max(1, first)).join('')}…`;
}

/** The largest of `sizesMm` at which the text fits into `widthMm` on one line; the last one when none does. */
export function sizeThatFits(
  text: string,
  widthMm: number,
  sizesMm: readonly number[],
  weight: TextWeight,
  widths: TextWidths,
): number {
  const fitting = sizesMm.find((sizeMm) => textWidthMm(text, { sizeMm, weight }, widths) <= widthMm);
  return fitting ?? sizesMm[sizesMm.length - 1];
}
