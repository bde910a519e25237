import { FillRule, unionD } from 'clipper2-ts';
import type { Point } from './point.js';

/** Decimals of a millimetre that the clipper counts in; it works on whole numbers inside. */
const DECIMALS = 7;

/**
 * The outer boundary of a closed polygon that runs clockwise and crosses itself: loops that run the other way, as an
 * offset makes them at tight curves, are gone; what the polygon goes round clockwise stays.
 *
 * Shape     `points` without the first repeated at the end; so is the answer, clockwise as well. When the polygon falls
 *           into several parts, the largest.
 * Accuracy  1e-7 mm: corners that stay are rounded to that.
 * Source    union under the negative fill rule, clipper2.
 */
export function outerRing(points: readonly Point[]): Point[] {
  const path = points.map(({ x, y }) => ({ x, y }));
  const found = unionD([path], [], FillRule.Negative, DECIMALS);
  const outer = found
    .map((ring) => ring.map(({ x, y }) => ({ x, y })))
    .sort((a, b) => Math.abs(polygonArea(b)) - Math.abs(polygonArea(a)))[0];
  if (outer === undefined) return [];
  return polygonArea(outer) > 0 ? outer.reverse() : outer;
}

/** Signed area of a closed polygon in mm2, positive when counter-clockwise. */
export function polygonArea(points: readonly Point[]): number {
  let twice = 0;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    twice += points[j].x * points[i].y - points[i].x * points[j].y;
  }
  return twice / 2;
}
