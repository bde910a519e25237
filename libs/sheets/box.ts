import { type Point } from '#geometry';
import type { TextMark } from './display-list.js';
import { INK_ABOVE, INK_BELOW } from './text-widths.js';

/** A rectangle in any direction: what a label or a table takes of the page. */
export interface Box {
  readonly centre: Point;
  readonly halfWidthMm: number;
  readonly halfHeightMm: number;
  readonly angleRad: number;
}

export interface Bounds {
  readonly left: number;
  readonly bottom: number;
  readonly right: number;
  readonly top: number;
}

/** The box of the ink of a line of text, from the deepest descender to the highest ascender. */
export function boxOfText(mark: TextMark): Box {
  const shift = { start: 0.5, middle: 0, end: -0.5 }[mark.anchor] * mark.widthMm;
  const rise = ((INK_ABOVE - INK_BELOW) / 2) * mark.sizeMm;
  const cos = Math.cos(mark.angleRad);
  const sin = Math.sin(mark.angleRad);
  return {
    centre: { x: mark.at.x + shift * cos - rise * sin, y: mark.at.y + shift * sin + rise * cos },
    halfWidthMm: mark.widthMm / 2,
    halfHeightMm: ((INK_ABOVE + INK_BELOW) / 2) * mark.sizeMm,
    angleRad: mark.angleRad,
  };
}

/** A straight line as a box without height. */
export function boxOfChord(from: Point, to: Point): Box {
  return {
    centre: { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 },
    halfWidthMm: Math.hypot(to.x - from.x, to.y - from.y) / 2,
    halfHeightMm: 0,
    angleRad: Math.atan2(to.y - from.y, to.x - from.x),
  };
}

export function grownBox(box: Box, byMm: number): Box {
  return { ...box, halfWidthMm: box.halfWidthMm + byMm, halfHeightMm: box.halfHeightMm + byMm };
}

export function boundsOfBox(box: Box): Bounds {
  const cos = Math.abs(Math.cos(box.angleRad));
  const sin = Math.abs(Math.sin(box.angleRad));
  const x = box.halfWidthMm * cos + box.halfHeightMm * sin;
  const y = box.halfWidthMm * sin + box.halfHeightMm * cos;
  return {
    left: box.centre.x - x,
    right: box.centre.x + x,
    bottom: box.centre.y - y,
    top: box.centre.y + y,
  };
}

export function boundsOfPoints(points: readonly Point[]): Bounds {
  const bounds = { left: Infinity, bottom: Infinity, right: -Infinity, top: -Infinity };
  for (const { x, y } of points) {
    bounds.left = Math.min(bounds.left, x);
    bounds.right = Math.max(bounds.right, x);
    bounds.bottom = Math.min(bounds.bottom, y);
    bounds.top = Math.max(bounds.top, y);
  }
  return bounds;
}

/** What holds them all; of none, bounds that hold nothing. */
export function unionOf(all: readonly Bounds[]): Bounds {
  const union = { left: Infinity, bottom: Infinity, right: -Infinity, top: -Infinity };
  for (const { left, bottom, right, top } of all) {
    union.left = Math.min(union.left, left);
    union.bottom = Math.min(union.bottom, bottom);
    union.right = Math.max(union.right, right);
    union.top = Math.max(union.top, top);
  }
  return union;
}

export function grownBounds({ left, bottom, right, top }: Bounds, byMm: number): Bounds {
  return { left: left - byMm, bottom: bottom - byMm, right: right + byMm, top: top + byMm };
}

export function isWithin(inner: Bounds, outer: Bounds): boolean {
  return (
    inner.left >= outer.left &&
    inner.right <= outer.right &&
    inner.bottom >= outer.bottom &&
    inner.top <= outer.top
  );
}

/** Whether two boxes share a point. Exact: two convex shapes are apart when a side of one of them parts them. */
export function boxesMeet(a: Box, b: Box): boolean {
  const between = { x: b.centre.x - a.centre.x, y: b.centre.y - a.centre.y };
  return !isParted(a, b, between, a.angleRad) && !isParted(a, b, between, b.angleRad);
}

function isParted(a: Box, b: Box, between: Point, angleRad: number): boolean {
  const along = Math.abs(between.x * Math.cos(angleRad) + between.y * Math.sin(angleRad));
  const across = Math.abs(between.y * Math.cos(angleRad) - between.x * Math.sin(angleRad));
  return (
    along > reach(a, angleRad) + reach(b, angleRad) ||
    across > reach(a, angleRad + Math.PI / 2) + reach(b, angleRad + Math.PI / 2)
  );
}

function reach(box: Box, angleRad: number): number {
  const turn = box.angleRad - angleRad;
  return box.halfWidthMm * Math.abs(Math.cos(turn)) + box.halfHeightMm * Math.abs(Math.sin(turn));
}

/** Whether the straight line from `from` to `to` touches the box. */
export function boxMeetsLine(box: Box, from: Point, to: Point): boolean {
  const cos = Math.cos(box.angleRad);
  const sin = Math.sin(box.angleRad);
  const ax = (from.x - box.centre.x) * cos + (from.y - box.centre.y) * sin;
  const ay = (from.y - box.centre.y) * cos - (from.x - box.centre.x) * sin;
  const bx = (to.x - box.centre.x) * cos + (to.y - box.centre.y) * sin;
  const by = (to.y - box.centre.y) * cos - (to.x - box.centre.x) * sin;
  // Cut the line down to the part between each pair of sides; what is left lies inside.
  let enter = 0;
  let leave = 1;
  for (let axis = 0; axis < 2; axis++) {
    const start = axis === 0 ? ax : ay;
    const step = axis === 0 ? bx - ax : by - ay;
    const half = axis === 0 ? box.halfWidthMm : box.halfHeightMm;
    if (step === 0) {
      if (Math.abs(start) > half) return false;
      continue;
    }
    const first = (-half - start) / step;
    const second = (half - start) / step;
    enter = Math.max(enter, Math.min(first, second));
    leave = Math.min(leave, Math.max(first, second));
  }
  return enter <= leave;
}
