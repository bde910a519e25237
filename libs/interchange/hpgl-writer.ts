import { flatten, type Curve, type Point } from '#geometry';
import type { Mark, Sheet, TextMark } from '#sheets';
import { sevenBit } from './seven-bit.js';

/** 40 plotter units are a millimetre (HP-GL/2 and HP RTL reference guide). */
export const UNITS_PER_MM = 40;

/** The largest coordinate of HP-GL/2; the older language ends at 32,767, which is 819 mm. */
export const HPGL2_COORDINATE_MAX = 2 ** 30 - 1;
export const HPGL_COORDINATE_MAX = 32_767;

/** Half a plotter unit: no finer chord is seen. */
const CHORD_MM = 0.0125;

export interface HpglOptions {
  /** Coordinates larger than this are plotted in windows of their own. */
  readonly coordinateMax: number;
}

/** One plot, and where its origin lies on the sheet. */
export interface PlotWindow {
  readonly origin: Point;
  readonly text: string;
}

/**
 * Sheets as plots in the subset of HP-GL/2 that ASTM D6959 has: absolute, positive, at full scale, pen up and pen down,
 * curves stroked as chords, one pen.
 *
 * Shape     one window where all coordinates fit below `coordinateMax`; else a grid of windows from the lower left, each
 *           with its own origin and only what lies in it. Fills are drawn as outlines, white ones left out; text is
 *           lettered by the plotter, in 7-bit characters, and stands in the window that its start lies in.
 * Accuracy  coordinates to half a unit, 0.0125 mm, and chords to as much again.
 * Edges     dashes are stroked as dashes.
 * Source    ASTM D6959-08 (scope read, syntax not: withdrawn 2017); units and instructions from the HP-GL/2 reference.
 */
export function writeHpgl(sheet: Sheet, { coordinateMax }: HpglOptions): PlotWindow[] {
  const sizeMm = Math.floor(coordinateMax / UNITS_PER_MM);
  const windows: PlotWindow[] = [];
  for (let bottom = 0; bottom < sheet.heightMm; bottom += sizeMm) {
    for (let left = 0; left < sheet.widthMm; left += sizeMm) {
      const window = { left, bottom, right: left + sizeMm, top: bottom + sizeMm };
      const body = sheet.layers.flatMap(({ marks }) => marks.flatMap((mark) => instructions(mark, window)));
      if (body.length === 0) continue;
      windows.push({ origin: { x: left, y: bottom }, text: plotOf(body) });
    }
  }
  return windows;
}

interface Window {
  readonly left: number;
  readonly bottom: number;
  readonly right: number;
  readonly top: number;
}

function plotOf(body: readonly string[]): string {
  return `${['IN;', 'SP1;', 'PA;', ...body, 'PU0,0;', 'SP0;', 'PG;'].join('\n')}\n`;
}

function instructions(mark: Mark, window: Window): string[] {
  if (mark.kind === 'text') return lettering(mark, window);
  const ink = mark.stroke?.ink ?? mark.fill;
  if (ink === undefined || ink === 'white') return [];
  const dashMm = mark.stroke?.dashMm;
  return chainsOf(mark.curves)
    .flatMap((chain) => (dashMm === undefined ? [chain] : dashes(chain, dashMm)))
    .flatMap((chain) => within(chain, window))
    .map((chain) => stroke(chain, window));
}

/** Curves as chains of points, a new one where the pen is lifted. */
function chainsOf(curves: readonly Curve[]): Point[][] {
  const chains: Point[][] = [];
  for (const curve of curves) {
    const points = flatten(curve, CHORD_MM);
    const last = chains.at(-1)?.at(-1);
    if (last !== undefined && last.x === curve.p0.x && last.y === curve.p0.y)
      chains.at(-1)?.push(...points.slice(1));
    else chains.push(points);
  }
  return chains;
}

function dashes(chain: readonly Point[], dashMm: readonly number[]): Point[][] {
  const parts: Point[][] = [];
  let index = 0;
  let leftMm = dashMm[0];
  let current: Point[] = [chain[0]];
  for (let i = 0; i + 1 < chain.length; i++) {
    let from = chain[i];
    const to = chain[i + 1];
    let restMm = Math.hypot(to.x - from.x, to.y - from.y);
    while (restMm > leftMm) {
      const share = leftMm / restMm;
      from = { x: from.x + share * (to.x - from.x), y: from.y + share * (to.y - from.y) };
      if (index % 2 === 0) parts.push([...current, from]);
      current = [from];
      restMm -= leftMm;
      index = (index + 1) % (dashMm.length * 2);
      leftMm = dashMm[index % dashMm.length];
    }
    leftMm -= restMm;
    if (index % 2 === 0) current.push(to);
    else current = [to];
  }
  return index % 2 === 0 && current.length > 1 ? [...parts, current] : parts;
}

/** The parts of a chain inside a window. */
function within(chain: readonly Point[], window: Window): (readonly Point[])[] {
  // Nearly all of them: a window of HP-GL/2 is larger than any sheet.
  if (chain.length > 1 && chain.every((p) => isInside(p, window))) return [chain];
  const parts: Point[][] = [];
  for (let i = 0; i + 1 < chain.length; i++) {
    const cut = clipped(chain[i], chain[i + 1], window);
    if (cut === undefined) continue;
    const last = parts.at(-1)?.at(-1);
    if (last !== undefined && last.x === cut[0].x && last.y === cut[0].y) parts.at(-1)?.push(cut[1]);
    else parts.push(cut);
  }
  return parts;
}

function isInside({ x, y }: Point, { left, bottom, right, top }: Window): boolean {
  return x >= left && x <= right && y >= bottom && y <= top;
}

/** Liang and Barsky's clipping of a segment (1984). */
function clipped(from: Point, to: Point, { left, bottom, right, top }: Window): [Point, Point] | undefined {
  let low = 0;
  let high = 1;
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  for (const [step, room] of [
    [-dx, from.x - left],
    [dx, right - from.x],
    [-dy, from.y - bottom],
    [dy, top - from.y],
  ]) {
    if (step === 0 && room < 0) return undefined;
    if (step < 0) low = Math.max(low, room / step);
    if (step > 0) high = Math.min(high, room / step);
  }
  if (low > high) return undefined;
  const at = (share: number): Point =>
    share === 0 ? from : share === 1 ? to : { x: from.x + share * dx, y: from.y + share * dy };
  return [at(low), at(high)];
}

function stroke(chain: readonly Point[], window: Window): string {
  const first = written(chain[0], window);
  let drawn = '';
  let last = first;
  for (let i = 1; i < chain.length; i++) {
    const next = written(chain[i], window);
    if (next !== last) drawn += drawn === '' ? next : `,${next}`;
    last = next;
  }
  return drawn === '' ? `PU${first};PD${first};PU;` : `PU${first};PD${drawn};PU;`;
}

function written({ x, y }: Point, { left, bottom }: Window): string {
  return `${Math.round((x - left) * UNITS_PER_MM)},${Math.round((y - bottom) * UNITS_PER_MM)}`;
}

/** Plotter characters are as wide as this share of the text size, so that a line takes its length. */
const CAPITAL_SHARE = 0.7;
/** A character takes one and a half times its width (HP-GL/2 default spacing). */
const SPACING = 1.5;

function lettering(mark: TextMark, window: Window): string[] {
  const shift = { start: 0, middle: -0.5, end: -1 }[mark.anchor] * mark.widthMm;
  const cos = Math.cos(mark.angleRad);
  const sin = Math.sin(mark.angleRad);
  const start = { x: mark.at.x + shift * cos, y: mark.at.y + shift * sin };
  const inside =
    start.x >= window.left && start.x < window.right && start.y >= window.bottom && start.y < window.top;
  if (!inside || mark.ink === 'white') return [];
  const text = sevenBit(mark.text);
  const widthCm = mark.widthMm / Math.max(1, text.length) / SPACING / 10;
  const heightCm = (CAPITAL_SHARE * mark.sizeMm) / 10;
  return [
    `PU${written(start, window)};DI${cos.toFixed(4)},${sin.toFixed(4)};` +
      `SI${widthCm.toFixed(3)},${heightCm.toFixed(3)};LB${text}\u0003;`,
  ];
}
