import { createRequire } from 'node:module';
import { Resvg } from '@resvg/resvg-js';
import { describe, expect, it } from '@jest/globals';
import { PLEX_WIDTHS, textWidthMm, type TextWeight } from '#sheets';

const FILES: Readonly<Record<TextWeight, string>> = {
  regular: '400Regular/IBMPlexSans_400Regular.ttf',
  semibold: '600SemiBold/IBMPlexSans_600SemiBold.ttf',
};
const CHARACTERS = [...'abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+−±×°·→()/:.,äéøßŁжΩ'];

/** The renderer's own measure of a character: what ten more of them add, in thousandths of the size. */
function renderedAdvance(character: string, weight: TextWeight): number {
  const extent = (count: number): number => {
    const text = `|${character.repeat(count)}|`;
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="40000" height="2000"><text x="9" y="999" font-size="1000" font-family="IBM Plex Sans" font-weight="${weight === 'regular' ? 400 : 600}" style="font-kerning:none">${text}</text></svg>`;
    const file = createRequire(import.meta.url).resolve(`@expo-google-fonts/ibm-plex-sans/${FILES[weight]}`);
    const box = new Resvg(svg, { font: { loadSystemFonts: false, fontFiles: [file] } }).getBBox();
    return box?.width ?? 0;
  };
  return (extent(11) - extent(1)) / 10;
}

describe('the committed widths of Plex Sans', () => {
  it.each(['regular', 'semibold'] as const)('are those the renderer draws with: %s', (weight) => {
    for (const character of CHARACTERS) {
      const table = textWidthMm(character, { sizeMm: 1000, weight }, PLEX_WIDTHS);
      expect(`${character} ${renderedAdvance(character, weight).toFixed(0)}`).toBe(
        `${character} ${table.toFixed(0)}`,
      );
    }
  });
});
