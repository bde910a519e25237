import { describe, expect, it } from '@jest/globals';
import type { Point } from '#geometry';
import { cutSheets, PLEX_WIDTHS, rectangle, strokeMark, textMark, type Sheet } from '#sheets';
import { cutContentOf, cutPattern } from '../../test/support/cut-patterns.js';
import { readPlot } from '../../test/support/read-plot.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import { HPGL2_COORDINATE_MAX, HPGL_COORDINATE_MAX, writeHpgl } from './index.js';

const BOX: Sheet = {
  widthMm: 2000,
  heightMm: 900,
  title: 'box',
  layers: [
    {
      id: 'box',
      marks: [
        strokeMark(rectangle(10, 20, 1990.01, 880.02), { widthMm: 0.5, ink: 'black' }),
        textMark('Größe', { sizeMm: 10, weight: 'regular' }, { at: { x: 1000, y: 100 } }, PLEX_WIDTHS),
      ],
    },
  ],
};

describe('writeHpgl', () => {
  const [window, ...others] = writeHpgl(BOX, { coordinateMax: HPGL2_COORDINATE_MAX });

  it('plots at 40 units a millimetre, absolute and positive', () => {
    expect(others).toEqual([]);
    const [{ points }] = readPlot(window.text).strokes;
    // 1016 plotter units are an inch (HP-GL/2): 1990.01 mm is 79600.4 units.
    expect(points).toEqual([
      [400, 800],
      [79600, 800],
      [79600, 35201],
      [400, 35201],
      [400, 800],
    ]);
  });

  it('uses only instructions of the subset, and letters in 7 bits', () => {
    const { instructions, texts } = readPlot(window.text);
    const known = ['IN', 'SP', 'PA', 'PU', 'PD', 'DI', 'SI', 'LB', 'PG'];
    expect(instructions.filter((each) => !known.includes(each.slice(0, 2)))).toEqual([]);
    expect(texts).toEqual([{ text: 'Grosse', at: [40000, 4000] }]);
    expect(instructions[0]).toBe('IN;');
    expect(instructions.at(-1)).toBe('PG;');
  });

  it('splits what is larger than 32,767 units into windows that together are the whole', () => {
    const windows = writeHpgl(BOX, { coordinateMax: HPGL_COORDINATE_MAX });
    expect(windows.length).toBeGreaterThan(3);
    let lengthUnits = 0;
    for (const { text, origin } of windows) {
      for (const { points } of readPlot(text).strokes) {
        for (const [i, [x, y]] of points.entries()) {
          expect(Math.min(x, y)).toBeGreaterThanOrEqual(0);
          expect(Math.max(x, y)).toBeLessThanOrEqual(HPGL_COORDINATE_MAX);
          if (i > 0) lengthUnits += Math.hypot(x - points[i - 1][0], y - points[i - 1][1]);
        }
      }
      expect(origin.x % Math.floor(HPGL_COORDINATE_MAX / 40)).toBe(0);
    }
    // The outline of the box: 2 x (1980.01 + 860.02) mm.
    expect(lengthUnits / 40).toBeCloseTo(2 * (1980.01 + 860.02), 0);
  });

  it('strokes dashes as dashes', () => {
    const dashed: Sheet = {
      ...BOX,
      layers: [
        {
          id: 'dashed',
          marks: [
            strokeMark(rectangle(0, 0, 100, 0).slice(0, 1), { widthMm: 0.3, ink: 'black', dashMm: [7, 3] }),
          ],
        },
      ],
    };
    const [plot] = writeHpgl(dashed, { coordinateMax: HPGL2_COORDINATE_MAX });
    const { strokes } = readPlot(plot.text);
    expect(strokes).toHaveLength(10);
    expect(strokes[1].points).toEqual([
      [400, 0],
      [680, 0],
    ]);
  });

  it('holds every cut line of a pattern within 0.025 mm', () => {
    const pattern = cutPattern(WORKED_BODY, 0.5);
    const [sheet] = cutSheets(cutContentOf(pattern), 'roll-914', PLEX_WIDTHS);
    const cutOnly = { ...sheet, layers: sheet.layers.filter(({ id }) => id === 'cut-line') };
    const [plot] = writeHpgl(cutOnly, { coordinateMax: HPGL2_COORDINATE_MAX });
    const { strokes } = readPlot(plot.text);
    expect(strokes).toHaveLength(pattern.pieces.length);
    for (const [i, piece] of pattern.pieces.entries()) {
      const cut = piece.cut.map(({ at }) => at);
      const plotted = strokes[i].points.map(([x, y]) => ({ x: x / 40, y: y / 40 }));
      // A piece may lie turned by quarters to save paper.
      const off = QUARTER_TURNS.map((turned) => offMm(plotted, cut.map(turned)));
      expect(Math.min(...off)).toBeLessThan(0.025 + 1e-9);
      expect(plotted.length).toBeGreaterThanOrEqual(cut.length);
    }
  });
});

const QUARTER_TURNS: readonly ((p: Point) => Point)[] = [
  ({ x, y }) => ({ x, y }),
  ({ x, y }) => ({ x: -y, y: x }),
  ({ x, y }) => ({ x: -x, y: -y }),
  ({ x, y }) => ({ x: y, y: -x }),
];

/** How far the farthest corner of a piece lies across or along from the nearest point of its plot. */
function offMm(plotted: readonly Point[], cut: readonly Point[]): number {
  const [plot, piece] = [fromCorner(plotted), fromCorner(cut)];
  return Math.max(
    ...piece.map((p) => Math.min(...plot.map((q) => Math.max(Math.abs(q.x - p.x), Math.abs(q.y - p.y))))),
  );
}

/** Points from the lower left corner of their bounds. */
function fromCorner(points: readonly Point[]): Point[] {
  const left = Math.min(...points.map(({ x }) => x));
  const bottom = Math.min(...points.map(({ y }) => y));
  return points.map(({ x, y }) => ({ x: x - left, y: y - bottom }));
}
