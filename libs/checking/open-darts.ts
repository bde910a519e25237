import { cross, distance, polygonArea, way, type Point } from '#geometry';
import { turnDeg } from './seam-outline.js';

/** A dart that a ring leaves open: its point, and the two ends of its mouth. */
export interface OpenDart {
  readonly apex: Point;
  readonly mouth: readonly [Point, Point];
}

/** The outline turns back into the piece by more than this round the point of a dart. */
const DART_TURN_DEG = 110;
/** A leg is straight, or bends less than this at each of its points. */
const LEG_TURN_DEG = 25;
const LEG_MM_MIN = 20;
const LEG_MM_MAX = 300;
const LEG_RATIO = 0.6;

/**
 * The darts that a closed line leaves open.
 *
 * Shape   a corner that points into the piece, with two legs nearly as long as each other that end at corners.
 * Why     with the dart sewn shut its mouth is gone: what is drawn across it lies on the piece.
 */
export function openDarts(points: readonly Point[]): OpenDart[] {
  const count = points.length;
  const inwards = polygonArea(points) < 0 ? 1 : -1;
  return points.flatMap((apex, i): OpenDart[] => {
    if (inwards * turnDeg(points, i) < DART_TURN_DEG) return [];
    const ends = [legEnd(points, i, 1), legEnd(points, i, count - 1)];
    const [a, b] = ends;
    if (a === undefined || b === undefined) return [];
    const legs = [distance(apex, a), distance(apex, b)];
    const [short, long] = [Math.min(...legs), Math.max(...legs)];
    return short < LEG_MM_MIN || long > LEG_MM_MAX || short < LEG_RATIO * long
      ? []
      : [{ apex, mouth: [a, b] }];
  });
}

function legEnd(points: readonly Point[], apex: number, step: number): Point | undefined {
  const count = points.length;
  for (let k = (apex + step) % count; k !== apex; k = (k + step) % count) {
    if (distance(points[k], points[apex]) > LEG_MM_MAX) return undefined;
    if (Math.abs(turnDeg(points, k)) > LEG_TURN_DEG) return points[k];
  }
  return undefined;
}

/** Whether a point lies in the mouth of one of the darts, its legs and the line between their ends included. */
export function inOpenDart(p: Point, darts: readonly OpenDart[]): boolean {
  return darts.some(({ apex, mouth: [a, b] }) => {
    const sides = [
      [apex, a],
      [a, b],
      [b, apex],
    ].map(([from, to]) => cross(way(from, to), way(from, p)));
    return sides.every((side) => side >= 0) || sides.every((side) => side <= 0);
  });
}
