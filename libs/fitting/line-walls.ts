import type { Curve } from '#geometry';
import { asCubic } from './character.js';
import type { RedrawnBlock } from './redraw.js';
import type { ReadyBlock } from './stations.js';

/** Places along a curve at which its line is held; between two of them the character of a cubic hardly changes. */
const PLACES = 17;

/** The line of one curve as it was given, and how far it may go either way at each place. */
export interface HeldLine {
  readonly role: 'front' | 'back';
  readonly index: number;
  readonly before: Float64Array;
  readonly roomUp: Float64Array;
  readonly roomDown: Float64Array;
}

/** A curve with hardly any bend at a place may still go this share of its largest there before it counts as a new bend. */
const SIGN_ROOM = 0.01;

/**
 * What a block's curves may become: at no place further from what they were than `shareMax` of their own largest
 * |length x curvature|, and on the other side of straight only near where they change sides already.
 */
export function heldLines(ready: ReadyBlock, shareMax: number): HeldLine[] {
  return (['front', 'back'] as const).flatMap((role) =>
    ready[role].strands.flatMap(({ edge, bend }, index): HeldLine[] => {
      if (edge.curve.kind === 'line') return [];
      const before = new Float64Array(PLACES);
      writeProfile(edge.curve, before, 0);
      const room = shareMax * bend;
      const least = SIGN_ROOM * bend;
      const signs = signsKept(before);
      const roomFor = (side: 1 | -1): Float64Array =>
        before.map((value, i) =>
          signs[i] === -side ? Math.min(room, Math.max(least, Math.abs(value))) : room,
        );
      return [{ role, index, before, roomUp: roomFor(1), roomDown: roomFor(-1) }];
    }),
  );
}

/** Where a curve changes sides, that place may go this many places either way. */
const PASSES_WITHIN = 3;

function signsKept(before: Float64Array): number[] {
  return Array.from(before, (value, i) => {
    const near = before.subarray(Math.max(0, i - PASSES_WITHIN), i + PASSES_WITHIN + 1);
    return near.every((other) => Math.sign(other) === Math.sign(value)) ? Math.sign(value) : 0;
  });
}

export function wallCount(held: readonly HeldLine[]): number {
  return PLACES * held.length;
}

/** Where a wall begins, as a share of the room. */
const WALL_FOOT = 0.8;

/** The residual at the end of the room: with it, a wall outweighs every length that may yield. */
const WALL_HEIGHT = 8;

/**
 * One residual for each place of each curve, written from `from`: nothing as far as the foot of the wall, then the square
 * of the way past it, and beyond the end of the room straight on, so that a search that starts outside finds its way in.
 */
export function writeWalls(
  held: readonly HeldLine[],
  drawn: RedrawnBlock,
  steepness: number,
  residuals: Float64Array,
  from: number,
): void {
  held.forEach(({ role, index, before, roomUp, roomDown }, k) => {
    const start = from + k * PLACES;
    writeProfile(drawn[role].curves[index], residuals, start);
    for (let i = 0; i < PLACES; i++) {
      const change = residuals[start + i] - before[i];
      const used = change > 0 ? change / roomUp[i] : -change / roomDown[i];
      const past = Math.max(0, (used - WALL_FOOT) / (1 - WALL_FOOT));
      residuals[start + i] = steepness * WALL_HEIGHT * (past < 1 ? past * past : 2 * past - 1);
    }
  });
}

/** How hard each held line pushes: half the sum of its squared residuals. */
export function wallCosts(held: readonly HeldLine[], drawn: RedrawnBlock): number[] {
  const residuals = new Float64Array(wallCount(held));
  writeWalls(held, drawn, 1, residuals, 0);
  return held.map((_, k) =>
    residuals.subarray(k * PLACES, (k + 1) * PLACES).reduce((sum, value) => sum + (value * value) / 2, 0),
  );
}

/** Steps of the sum that finds places at equal shares of the length. */
const STEPS = 96;
const sums = new Float64Array(STEPS + 1);

// As `characterOf`, but coarser and into an array that is there: this runs some ten thousand times in a fit. Length times
// curvature to a thousandth of its largest.
function writeProfile(curve: Curve, out: Float64Array, from: number): void {
  const { p0, p1, p2, p3 } = asCubic(curve);
  const cx = 3 * (p1.x - p0.x);
  const cy = 3 * (p1.y - p0.y);
  const bx = 3 * (p2.x - 2 * p1.x + p0.x);
  const by = 3 * (p2.y - 2 * p1.y + p0.y);
  const ax = p3.x - 3 * p2.x + 3 * p1.x - p0.x;
  const ay = p3.y - 3 * p2.y + 3 * p1.y - p0.y;
  let speedBefore = Math.hypot(cx, cy);
  for (let i = 1; i <= STEPS; i++) {
    const t = i / STEPS;
    const vx = (3 * ax * t + 2 * bx) * t + cx;
    const vy = (3 * ay * t + 2 * by) * t + cy;
    const speed = Math.sqrt(vx * vx + vy * vy);
    sums[i] = sums[i - 1] + (speedBefore + speed) / (2 * STEPS);
    speedBefore = speed;
  }
  const lengthMm = sums[STEPS];
  let step = 1;
  for (let place = 0; place < PLACES; place++) {
    const wantedMm = (lengthMm * place) / (PLACES - 1);
    while (step < STEPS && sums[step] < wantedMm) step += 1;
    const t = Math.min(1, (step - 1 + (wantedMm - sums[step - 1]) / (sums[step] - sums[step - 1])) / STEPS);
    const vx = (3 * ax * t + 2 * bx) * t + cx;
    const vy = (3 * ay * t + 2 * by) * t + cy;
    const squared = vx * vx + vy * vy;
    const turning = vx * (6 * ay * t + 2 * by) - vy * (6 * ax * t + 2 * bx);
    out[from + place] = (lengthMm * turning) / (squared * Math.sqrt(squared));
  }
}
