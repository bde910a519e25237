import { describe, expect, it } from '@jest/globals';
import { writeSvg } from '#interchange';
import { fillMark, PLEX_WIDTHS, proofSheet, rectangle, textMark, type Mark, type Sheet } from '#sheets';
import { proofOf, SHAPES } from '../../test/support/proof-examples.js';
import { pixelsOf, type Pixels } from '../../test/support/png-pixels.js';
import { renderPng, renderSheetPng } from './render-png.js';

const PX_PER_MM = 10;
const sheetWith = (marks: readonly Mark[]): Sheet => ({
  widthMm: 60,
  heightMm: 40,
  title: 'marks',
  layers: [{ id: 'marks', marks }],
});

describe('renderPng', () => {
  it('puts marks where they are, to the pixel, at 10 px/mm', async () => {
    // From (12.3, 5) to (42.3, 8.5) on the sheet: rows 315 to 350 from the top.
    const sheet = sheetWith([fillMark(rectangle(12.3, 5, 42.3, 8.5), 'black')]);
    const pixels = pixelsOf(await renderPng(writeSvg(sheet), 60 * PX_PER_MM));
    expect([pixels.widthPx, pixels.heightPx]).toEqual([600, 400]);
    expect(darkRun(pixels, 'row', 330)).toEqual([123, 422]);
    expect(darkRun(pixels, 'column', 200)).toEqual([315, 349]);
  });

  it('draws the scale bar of the proof sheet 50 mm long', async () => {
    const svg = writeSvg(proofSheet(proofOf(SHAPES['worked'], 0), PLEX_WIDTHS));
    const pixels = pixelsOf(await renderPng(svg, 420 * PX_PER_MM));
    expect([pixels.widthPx, pixels.heightPx]).toEqual([4200, 2970]);
    // Along the lower frame of the bar, 9.45 mm above the lower edge; half its 0.25 mm pen stands out at each end.
    const row = 2970 - 95;
    const [first, last] = darkRun(pixels, 'row', row, 0, 590);
    expect(Math.abs(first - 80)).toBeLessThanOrEqual(2);
    expect(Math.abs(last - first - 500)).toBeLessThanOrEqual(4);
  });

  it('gives the same bytes each time', async () => {
    const svg = writeSvg(proofSheet(proofOf(SHAPES['small'], 6), PLEX_WIDTHS));
    const [first, second] = [await renderPng(svg, 1000), await renderPng(svg, 1000)];
    expect(Buffer.from(first).equals(Buffer.from(second))).toBe(true);
  });

  it('sets both weights in Plex Sans, though the machine may have no fonts', async () => {
    const dark: number[] = [];
    for (const weight of ['regular', 'semibold'] as const) {
      const mark = textMark('HHHHH', { sizeMm: 10, weight }, { at: { x: 5, y: 10 } }, PLEX_WIDTHS);
      dark.push(inkOf(pixelsOf(await renderPng(writeSvg(sheetWith([mark])), 600))));
    }
    expect(dark[0]).toBeGreaterThan(1000);
    expect(dark[1]).toBeGreaterThan(dark[0] * 1.2);
  });

  it('rejects what is no SVG', async () => {
    await expect(renderPng('<svg', 100)).rejects.toThrow();
  });

  it.each([
    ['texts of every size and weight', 'worked', 0],
    ['a proof with findings', 'small', 6],
  ] as const)('draws letters as outlines where the font puts them: %s', async (_, shape, findings) => {
    const sheet = proofSheet(proofOf(SHAPES[shape], findings), PLEX_WIDTHS);
    const outlined = pixelsOf(await renderSheetPng(sheet, 3000));
    const set = pixelsOf(await renderPng(writeSvg(sheet), 3000));
    expect([outlined.widthPx, outlined.heightPx]).toEqual([set.widthPx, set.heightPx]);
    // The renderer's own setting of the texts: no letter is missing, moved or of another weight.
    let [ink, differing] = [0, 0];
    for (let y = 0; y < set.heightPx; y++) {
      for (let x = 0; x < set.widthPx; x++) {
        const [a, b] = [outlined.darkness(x, y), set.darkness(x, y)];
        if (b > 127) ink++;
        if (Math.abs(a - b) > 127) differing++;
      }
    }
    expect(ink).toBeGreaterThan(50_000);
    expect(differing / ink).toBeLessThan(0.002);
  });

  it('leaves texts that have to be shaped to the renderer', async () => {
    const mark = textMark('e\u0301', { sizeMm: 10, weight: 'regular' }, { at: { x: 5, y: 10 } }, PLEX_WIDTHS);
    const sheet = sheetWith([mark]);
    const [outlined, set] = [await renderSheetPng(sheet, 600), await renderPng(writeSvg(sheet), 600)];
    expect(Buffer.from(outlined).equals(Buffer.from(set))).toBe(true);
  });

  it('is one channel of grey, a fraction of what four channels take', async () => {
    const png = Buffer.from(
      await renderPng(writeSvg(proofSheet(proofOf(SHAPES['worked'], 0), PLEX_WIDTHS)), 3307),
    );
    // ISO/IEC 15948, 11.2.1: depth, colour type, compression, filter, interlace.
    expect([...png.subarray(24, 29)]).toEqual([8, 0, 0, 0, 0]);
    expect(png.length).toBeLessThan(500_000);
  });

  it('rejects a drawing in colour rather than print it in the wrong tone', async () => {
    const red = writeSvg(sheetWith([])).replace('#fff', '#f00');
    await expect(renderPng(red, 100)).rejects.toThrow(/pixel at 0, 0/);
  });
});

/** First and last dark pixel along a row or column. */
function darkRun(
  pixels: Pixels,
  along: 'row' | 'column',
  at: number,
  from = 0,
  to = Infinity,
): [number, number] {
  const end = Math.min(to, along === 'row' ? pixels.widthPx : pixels.heightPx);
  const dark: number[] = [];
  for (let i = from; i < end; i++) {
    if ((along === 'row' ? pixels.darkness(i, at) : pixels.darkness(at, i)) > 127) dark.push(i);
  }
  return [dark[0], dark[dark.length - 1]];
}

function inkOf(pixels: Pixels): number {
  let ink = 0;
  for (let y = 0; y < pixels.heightPx; y++) {
    for (let x = 0; x < pixels.widthPx; x++) if (pixels.darkness(x, y) > 127) ink++;
  }
  return ink;
}
