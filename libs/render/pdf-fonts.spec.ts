import PDFDocument from 'pdfkit';
import { describe, expect, it } from '@jest/globals';
import { PLEX_WIDTHS, textMark, type Sheet } from '#sheets';
import { readPdf } from '../../test/support/read-pdf.js';
import { isPlain } from './pdf-fonts.js';
import { PLEX_FONTS } from './plex-fonts.js';
import { renderPdf } from './render-pdf.js';

interface Shaper {
  layout(
    text: string,
    features: object,
  ): { readonly glyphs: readonly { readonly id: number }[]; readonly positions: readonly Place[] };
  glyphForCodePoint(codePoint: number): { readonly id: number };
}

interface Place {
  readonly xOffset: number;
  readonly yOffset: number;
}

function shaperOf(weight: 'regular' | 'semibold'): Shaper {
  const document = new PDFDocument({ autoFirstPage: false });
  document.font(PLEX_FONTS[weight]);
  return (document as unknown as { _font: { font: Shaper } })._font.font;
}

const sheetOf = (texts: readonly string[]): Sheet => ({
  widthMm: 200,
  heightMm: 100,
  title: 'texts',
  layers: [
    {
      id: 'notes',
      marks: texts.map((text, i) =>
        textMark(text, { sizeMm: 5, weight: 'regular' }, { at: { x: 10, y: 90 - 10 * i } }, PLEX_WIDTHS),
      ),
    },
  ],
});

// The judge is the font library's own shaping.
describe.each(['regular', 'semibold'] as const)('plain text in %s', (weight) => {
  it('is a glyph a character, by the font’s table, whatever stands beside it', () => {
    const shaper = shaperOf(weight);
    const plain = [...PLEX_WIDTHS[weight].keys()].map((code) => String.fromCodePoint(code)).filter(isPlain);
    expect(plain.length).toBeGreaterThan(800);
    // Each beside itself, its neighbours, a letter and a digit.
    const text = plain
      .map((character, i) => `${character}${character}f1${plain[plain.length - 1 - i]}`)
      .join('');
    const { glyphs, positions } = shaper.layout(text, { kern: false, liga: false });
    expect(glyphs.map(({ id }) => id)).toEqual(
      [...text].map((character) => shaper.glyphForCodePoint(character.codePointAt(0) ?? 0).id),
    );
    expect(positions.filter(({ xOffset, yOffset }) => xOffset !== 0 || yOffset !== 0)).toEqual([]);
  });
});

describe('texts of a PDF', () => {
  it('say what they were given, marks over letters and fractions too', async () => {
    const texts = ['Größe 38 · 100 mm × 4', 'e\u0301 a\u0308 1\u20442 A', '−1.5 → 2', '\u00a0 \u00a0x'];
    const { pages } = await readPdf(await renderPdf([sheetOf(texts)], { title: 'T', creator: 'C' }));
    const said = pages[0].texts.join('').normalize('NFC').replaceAll(/\s/g, '');
    expect(said).toBe(texts.join('').normalize('NFC').replaceAll(/\s/g, ''));
  });

  it('are the same bytes whatever was written before', async () => {
    const bytes = async (texts: readonly string[]): Promise<Buffer> =>
      Buffer.from(await renderPdf([sheetOf(texts)], { title: 'T', creator: 'C' }));
    const first = await bytes(['a b', 'e\u0301 x']);
    const plain = await bytes(['a b']);
    await bytes(['\u00a0 \u03a9 \u2126']);
    await bytes(['\u2126 e\u0301 \u00a0']);
    expect((await bytes(['a b', 'e\u0301 x'])).equals(first)).toBe(true);
    expect((await bytes(['a b'])).equals(plain)).toBe(true);
  });
});
