import { readFileSync } from 'node:fs';
import type { Glyph } from 'fontkit';
import type { TextMark, TextWeight } from '#sheets';
import { isPlain } from './pdf-fonts.js';
import { PLEX_FONTS } from './plex-fonts.js';

interface Outline {
  readonly data: string;
  readonly advance: number;
}

export type TextOutlines = (mark: TextMark) => string | undefined;

let outlines: Promise<TextOutlines> | undefined;

/**
 * Texts in IBM Plex Sans as SVG path data in thousandths of the text size, y up, from the start of the text.
 *
 * Drawn as paths a page of texts takes a fraction of what the renderer needs to shape and set them. Undefined for a text
 * whose characters are not one glyph each: that has to be shaped.
 */
export function textOutlines(): Promise<TextOutlines> {
  outlines ??= readOutlines();
  return outlines;
}

async function readOutlines(): Promise<TextOutlines> {
  // Reading it only now spares every command that makes no picture.
  const { create } = await import('fontkit');
  const fonts = {
    regular: create(readFileSync(PLEX_FONTS.regular)),
    semibold: create(readFileSync(PLEX_FONTS.semibold)),
  };
  const known: Readonly<Record<TextWeight, Map<string, Outline>>> = {
    regular: new Map(),
    semibold: new Map(),
  };
  return ({ text, weight }) => {
    if (!isPlain(text)) return undefined;
    let data = '';
    let x = 0;
    for (const character of text) {
      let outline = known[weight].get(character);
      if (outline === undefined) {
        const glyph = fonts[weight].glyphForCodePoint(character.codePointAt(0) ?? 0);
        known[weight].set(character, (outline = outlineOf(glyph)));
      }
      data += `M${x} 0${outline.data}`;
      x += outline.advance;
    }
    return data;
  };
}

/** Relative commands, so that a glyph can be put wherever the pen is. */
function outlineOf({ path, advanceWidth }: Glyph): Outline {
  let data = '';
  let [x, y, startX, startY] = [0, 0, 0, 0];
  const by = (args: readonly number[]): string =>
    args.map((value, i) => value - (i % 2 === 0 ? x : y)).join(' ');
  for (const { command, args } of path.commands) {
    const letter = LETTERS[command];
    if (letter === undefined) throw new Error(`GLYPH_COMMAND ${command}`);
    data += `${letter}${by(args)}`;
    if (command === 'closePath') [x, y] = [startX, startY];
    else [x, y] = args.slice(-2) as [number, number];
    if (command === 'moveTo') [startX, startY] = [x, y];
  }
  return { data, advance: advanceWidth };
}

const LETTERS: Readonly<Record<string, string | undefined>> = {
  moveTo: 'm',
  lineTo: 'l',
  quadraticCurveTo: 'q',
  bezierCurveTo: 'c',
  closePath: 'z',
};
