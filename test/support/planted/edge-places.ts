import { add, distance, lerp, type Point, way } from '#geometry';
import type { CutNotch, CutPiece, CutPoint } from '#finishing';

export function nearestOn(cut: readonly CutPoint[], p: Point): Point {
  let best = cut[0].at;
  for (const [i, { at }] of cut.entries()) {
    const next = cut[(i + 1) % cut.length].at;
    const side = way(at, next);
    const length = Math.max(1e-9, side.x * side.x + side.y * side.y);
    const t = Math.min(1, Math.max(0, ((p.x - at.x) * side.x + (p.y - at.y) * side.y) / length));
    const foot = lerp(at, next, t);
    if (distance(foot, p) < distance(best, p)) best = foot;
  }
  return best;
}

/** The cut line with points added every `stepMm` within `radiusMm` of a place, and those points moved by `move`. */
export function reworked(
  cut: readonly CutPoint[],
  centre: Point,
  radiusMm: number,
  move: (p: Point) => Point,
): CutPoint[] {
  const dense = cut.flatMap((point, i): CutPoint[] => {
    const next = cut[(i + 1) % cut.length].at;
    const mm = distance(point.at, next);
    const count = Math.floor(mm / 4);
    const inner = Array.from({ length: Math.max(0, count - 1) }, (_, k) =>
      lerp(point.at, next, (k + 1) / count),
    ).filter((p) => distance(p, centre) < radiusMm + 6);
    return [point, ...inner.map((at): CutPoint => ({ at, kind: 'curve' }))];
  });
  return dense.map((point) =>
    distance(point.at, centre) < radiusMm ? { ...point, at: move(point.at) } : point,
  );
}

export const isKnee = ({ name, seam }: CutNotch): boolean => name === 'knee' && seam === 'inseam';

/** The middle of an allowance: a place on the cut line beside the knee notch. */
export function kneeEdge(piece: CutPiece): CutNotch | undefined {
  return piece.notches.find(isKnee);
}

export function moved(notch: CutNotch, by: Point): CutNotch {
  return { ...notch, at: add(notch.at, by), foot: add(notch.foot, by) };
}
