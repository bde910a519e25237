import fc from 'fast-check';
import { cubic, type CubicBezier, type Point } from '#geometry';

/** Half the widest cloth we accept, so no generated seam is larger than a real table. */
const REACH_MM = 2_000;

const coordinate = fc.double({ min: -REACH_MM, max: REACH_MM, noNaN: true });

export const arbPoint: fc.Arbitrary<Point> = fc.record({ x: coordinate, y: coordinate });

/**
 * Curves, with the awkward ones made common: a control point often repeats or nearly repeats an
 * earlier one, which is where cusps, straight lines and zero speeds come from.
 */
export const arbCubic: fc.Arbitrary<CubicBezier> = fc
  .tuple(arbPoint, follower(), follower(), follower())
  .map(([p0, next1, next2, next3]) => {
    const p1 = next1(p0);
    const p2 = next2(p1);
    return cubic(p0, p1, p2, next3(p2));
  });

function follower(): fc.Arbitrary<(previous: Point) => Point> {
  return fc.oneof(
    { weight: 6, arbitrary: arbPoint.map((p) => () => p) },
    { weight: 1, arbitrary: fc.constant((p: Point) => p) },
    {
      weight: 1,
      arbitrary: fc
        .double({ min: -1e-6, max: 1e-6, noNaN: true })
        .map((d) => (p: Point) => ({ x: p.x + d, y: p.y - d })),
    },
  );
}
