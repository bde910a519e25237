import { meet, direction, distance, along, type Point } from '#geometry';
import { done, mm, refused, type Outcome } from './outcome.js';

/** Where the straight line through two points meets a level, on either side of them. */
export function intersectLineWithLevel(a: Point, b: Point, levelMm: number): Outcome<Point> {
  const met = a.x === b.x && a.y === b.y ? undefined : meet(a, direction(a, b), LEVEL_ORIGIN(levelMm), LEVEL);
  if (met !== undefined) return done(met);
  return refused({
    code: 'LINES_PARALLEL',
    message: `A line meant to meet the level at ${mm(levelMm)} runs along it.`,
    action: 'Check the two points the line goes through; they lie at one height.',
    numbers: { levelMm },
  });
}

const LEVEL: Point = { x: 1, y: 0 };
const LEVEL_ORIGIN = (levelMm: number): Point => ({ x: 0, y: levelMm });

/** Carry on along the line from `from` through `through`, `byMm` past it. */
export function carryOnAlong(from: Point, through: Point, byMm: number): Outcome<Point> {
  const point = along(through, direction(from, through), byMm);
  const record = { operation: 'carry on along', part: 'line', byMm: distance(through, point) };
  return done(point, [{ ...record, from: through, to: point }]);
}
