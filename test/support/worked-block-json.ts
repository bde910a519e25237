import type { Curve, Point } from '#geometry';
import { WORKED_BLOCK } from '../../libs/truing/worked-block.fixture.js';

/** The block of the worked example as a shop sends it. */
export const WORKED_BLOCK_JSON = {
  name: 'worked example',
  levels: WORKED_BLOCK.levels,
  pieces: [WORKED_BLOCK.front, WORKED_BLOCK.back].map(({ role, edges }) => ({
    role,
    edges: edges.map(({ role: part, curve }) => ({ role: part, ...curveJson(curve) })),
  })),
};

function curveJson(curve: Curve) {
  const points = ({ x, y }: Point) => [x, y];
  if (curve.kind === 'line') return { line: [curve.p0, curve.p1].map(points) };
  return { cubic: [curve.p0, curve.p1, curve.p2, curve.p3].map(points) };
}
