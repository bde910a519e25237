import { describe, expect, it } from '@jest/globals';
import { writeSvg } from '#interchange';
import type { Point } from '#geometry';
import { cutSheets, PLEX_WIDTHS } from '#sheets';
import { cutContentOf, cutPattern } from '../../test/support/cut-patterns.js';
import { pixelsOf } from '../../test/support/png-pixels.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import { renderPng } from './render-png.js';

const PX_PER_MM = 10;
/** One pixel: a tenth of a millimetre. */
const PIXEL_MM = 1 / PX_PER_MM;
const STRIP_MM = 1;
const STEP_MM = 43;
/** Where a line runs along a strip rather than across it, its crossing is a smear. */
const STEEP = 2;

const pattern = cutPattern(WORKED_BODY, 0.5);
const [sheet] = cutSheets(cutContentOf(pattern), 'roll-1067', PLEX_WIDTHS, 'upright');
const svg = writeSvg(sheet);

/** The drawing with one layer, as a viewer shows it that hides the others. */
function layerOf(id: string): string {
  const start = svg.indexOf(`<g id="${id}">`);
  return svg.slice(start, svg.indexOf('</g>', start) + 4);
}

/** Darkness along the middle of a strip of the drawing, pixel by pixel, by the renderer's own reading of the file. */
async function strip(layer: string, way: 'level' | 'upright', atMm: number): Promise<number[]> {
  const [left, top, width, height] =
    way === 'level'
      ? [0, atMm - STRIP_MM / 2, sheet.widthMm, STRIP_MM]
      : [atMm - STRIP_MM / 2, 0, STRIP_MM, sheet.heightMm];
  const head = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="${left} ${top} ${width} ${height}">`;
  const pixels = pixelsOf(await renderPng(`${head}${layer}</svg>`, Math.round(width * PX_PER_MM)));
  const middle = (STRIP_MM * PX_PER_MM) / 2;
  return way === 'level'
    ? Array.from({ length: pixels.widthPx }, (_, x) => pixels.darkness(x, middle))
    : Array.from({ length: pixels.heightPx }, (_, y) => pixels.darkness(middle, y));
}

/** Middles of the dark runs in mm, weighed by how dark their pixels are. */
function runsOf(darkness: readonly number[]): number[] {
  const runs: number[] = [];
  let weight = 0;
  let moment = 0;
  for (const [i, dark] of [...darkness, 0].entries()) {
    weight += dark;
    moment += dark * (i + 0.5);
    if (dark > 0 || weight === 0) continue;
    runs.push(moment / weight / PX_PER_MM);
    [weight, moment] = [0, 0];
  }
  return runs;
}

interface Crossing {
  readonly atMm: number;
  readonly across: boolean;
}

/** Where the sides of rings cross a line x = at or y = at. */
function crossings(rings: readonly (readonly Point[])[], way: 'level' | 'upright', at: number): Crossing[] {
  const along = way === 'level' ? 'x' : 'y';
  const over = way === 'level' ? 'y' : 'x';
  return rings.flatMap((ring) =>
    ring.flatMap((p, i) => {
      const q = ring[(i + 1) % ring.length];
      if (p[over] < at === q[over] < at) return [];
      const slope = (q[along] - p[along]) / (q[over] - p[over]);
      return [{ atMm: p[along] + slope * (at - p[over]), across: Math.abs(slope) < STEEP }];
    }),
  );
}

/** The pieces where the file has them: moved by where each path of the layer begins. */
function placedRings(layer: string): Point[][] {
  const starts = [...layer.matchAll(/ d="M([\d.]+) ([\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)]);
  expect(starts).toHaveLength(pattern.pieces.length);
  return pattern.pieces.map(({ cut }, i) => {
    const [{ at }] = cut;
    // SVG's y runs down.
    return cut.map((corner) => ({
      x: starts[i][0] + corner.at.x - at.x,
      y: starts[i][1] - corner.at.y + at.y,
    }));
  });
}

// Outside reader: resvg.
describe('the cut pieces as SVG, rendered at 10 px/mm', () => {
  const layer = layerOf('cut-line');
  const rings = placedRings(layer);

  it.each(['level', 'upright'] as const)('have their outlines within a pixel on %s strips', async (way) => {
    const endMm = way === 'level' ? sheet.heightMm : sheet.widthMm;
    let checked = 0;
    for (let at = STEP_MM; at < endMm; at += STEP_MM) {
      // The strip is read in the pixel row behind its middle, whose own middle lies half a pixel further.
      const wanted = crossings(rings, way, at + PIXEL_MM / 2);
      const drawn = runsOf(await strip(layer, way, at));
      for (const { atMm } of wanted.filter(({ across }) => across)) {
        // Two lines that cross the strip near each other are one run.
        if (wanted.some((other) => other.atMm !== atMm && Math.abs(other.atMm - atMm) < 2)) continue;
        expect(Math.min(...drawn.map((mm) => Math.abs(mm - atMm)))).toBeLessThan(PIXEL_MM);
        checked++;
      }
      if (wanted.every(({ across }) => across)) expect(drawn.length).toBeLessThanOrEqual(wanted.length);
    }
    expect(checked).toBeGreaterThan(40);
  });

  it.each(['level', 'upright'] as const)(
    'have a test square of 100 mm and a bar of 4 inches, %s',
    async (way) => {
      const square = layerOf('test-square');
      const [, x, y] = / d="M([\d.]+) ([\d.]+)/.exec(square) ?? [];
      const at = way === 'level' ? Number(y) - 20.05 : Number(x) + 20.05;
      const runs = runsOf(await strip(square.replaceAll(/<text.*<\/text>/g, ''), way, at));
      const sides = runs.slice(0, 2);
      expect(Math.abs(sides[1] - sides[0] - 100)).toBeLessThan(PIXEL_MM);
      if (way === 'upright') return;
      const bar = / d="M([\d.]+) ([\d.]+)/.exec(square.slice(square.lastIndexOf('<path'))) ?? [];
      const ends = runsOf(await strip(square.replaceAll(/<text.*<\/text>/g, ''), way, Number(bar[2]) - 2));
      // An inch is 25.4 mm by definition.
      expect(ends).toHaveLength(5);
      for (const [i, end] of ends.entries())
        expect(Math.abs(end - ends[0] - i * 25.4)).toBeLessThan(PIXEL_MM);
    },
  );
});
