import { emptyLay, type Lay } from './lay.js';
import type { Task } from './task.js';

/**
 * A layout that is sound before any search: pieces by their boxes, stacked across the cloth in columns, widest first.
 *
 * It is long, but it exists whatever the outlines are, so there is a marker to hand out from the first moment on.
 * All places are whole numbers and meet the cloth's repeat.
 */
export function firstLay(task: Task): Lay {
  const count = task.pieces.length;
  const lay = { ...emptyLay(count), length: 0 };
  const gap = Math.ceil(task.gap);
  const chosen = task.pieces.map((_, i) => shortest(task, i));
  const order = [...chosen.keys()].sort(
    (a, b) => widthOf(task, chosen[b]) - widthOf(task, chosen[a]) || a - b,
  );
  let [left, right, bottom] = [-Infinity, -Infinity, -Infinity];
  for (const i of order) {
    const v = chosen[i];
    const { box } = task.variants[v];
    let y = lowestY(task, v, bottom - box.bottom);
    if (y > task.yMax[v]) {
      [left, bottom] = [right + gap, -Infinity];
      y = lowestY(task, v, bottom);
    }
    const x = leftmostX(task, v, left - box.left);
    lay.xs[i] = x;
    lay.ys[i] = y;
    lay.vs[i] = v;
    bottom = y + box.top + gap;
    right = Math.max(right, x + box.right);
    lay.length = Math.max(lay.length, x + task.reach[v]);
  }
  return lay;
}

/** The allowed variant that takes the least length; a garment that must run one way runs as drawn. */
function shortest(task: Task, i: number): number {
  const { variants, bundle } = task.pieces[i];
  const allowed = bundle < 0 ? variants : variants.filter((v) => task.variants[v].direction === 0);
  return allowed.reduce((best, v) => (widthOf(task, v) < widthOf(task, best) ? v : best));
}

function widthOf(task: Task, v: number): number {
  const { box } = task.variants[v];
  return box.right - box.left;
}

function lowestY(task: Task, v: number, from: number): number {
  const { repeatY, phaseY, yMin } = task;
  return firstOnRepeat(Math.max(from, yMin[v]), repeatY, phaseY, task.variants[v].match?.y);
}

function leftmostX(task: Task, v: number, from: number): number {
  const { repeatX, phaseX, xMin } = task;
  return firstOnRepeat(Math.max(from, xMin[v]), repeatX, phaseX, task.variants[v].match?.x);
}

/** The least whole number from `low` on that brings a point at `match` onto the repeat, rounded. */
function firstOnRepeat(low: number, repeat: number, phase: number, match: number | undefined): number {
  if (match === undefined || repeat === 0) return Math.ceil(low);
  let k = Math.ceil((low - phase + match) / repeat) - 1;
  while (Math.round(phase - match + k * repeat) < low) k++;
  return Math.round(phase - match + k * repeat);
}
