import type { CutPiece } from '#finishing';
import { cubic, type Curve, line, mapCurve, type Point } from '#geometry';

/** Two pieces drawn apart: the second is mirrored. */
export function leftAndRight(left: CutPiece, right: CutPiece): [CutPiece, CutPiece] {
  const flip = ({ x, y }: Point): Point => ({ x: -x, y });
  return [
    { ...left, id: 'front-left', name: 'Front left', quantity: { asDrawn: 1, mirrored: 0 } },
    {
      ...right,
      id: 'front-right',
      name: 'Front right',
      quantity: { asDrawn: 1, mirrored: 0 },
      cut: right.cut.map((point) => ({ ...point, at: flip(point.at) })).reverse(),
      runs: [...right.runs].reverse().map((run) => ({
        ...run,
        curves: [...run.curves].reverse().map((curve) => turnedRound(mapCurve(curve, flip))),
      })),
      darts: right.darts.map((dart) =>
        [...dart].reverse().map((curve) => turnedRound(mapCurve(curve, flip))),
      ),
      notches: right.notches.map((notch) => ({
        ...notch,
        at: flip(notch.at),
        foot: flip(notch.foot),
        inwards: flip(notch.inwards),
      })),
      drillHoles: right.drillHoles.map((hole) => ({ ...hole, at: flip(hole.at) })),
      lines: right.lines.map((each) => ({
        ...each,
        curves: each.curves.map((curve) => mapCurve(curve, flip)),
      })),
      grain: [flip(right.grain[0]), flip(right.grain[1])],
    },
  ];
}

function turnedRound(curve: Curve): Curve {
  return curve.kind === 'line' ? line(curve.p1, curve.p0) : cubic(curve.p3, curve.p2, curve.p1, curve.p0);
}
