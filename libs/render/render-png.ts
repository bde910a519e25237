import { Resvg } from '@resvg/resvg-js';
import { PLEX_FONTS } from './plex-fonts.js';

const FONT_FILES = [PLEX_FONTS.regular, PLEX_FONTS.semibold];

/**
 * A drawing as PNG, `widthPx` wide and as high as the drawing's shape asks.
 *
 * Edges   only the two weights of IBM Plex Sans are known: fonts of the machine are never looked for, so the same
 *         drawing gives the same pixels everywhere.
 * Errors  throws what the renderer says about an SVG that it cannot read.
 * Cost    about 0.3 s for an A3 sheet at 10 px/mm; the event loop stands still meanwhile.
 */
export function renderPng(svg: string, widthPx: number): Uint8Array {
  const drawing = new Resvg(svg, {
    font: { loadSystemFonts: false, fontFiles: FONT_FILES, defaultFontFamily: 'IBM Plex Sans' },
    fitTo: { mode: 'width', value: widthPx },
    background: '#fff',
  });
  return drawing.render().asPng();
}
