import {
  add,
  cross,
  cubic,
  distance,
  lerp,
  line,
  norm,
  quadratureLength,
  scale,
  way,
  type CubicBezier,
  type Curve,
  type Point,
} from '#geometry';
import type { Edge } from '#pattern';
import { SHORTEST_EDGE_MM, reversedRun } from './run.js';

/**
 * Move one end of a run of edges and let the run follow fairly, its other end and both end tangents kept.
 *
 * This is how a side waist is slid or let out without a kink at the hip, and how the waist line follows it.
 *
 * Shape   every point moves by a share of `by` that grows as 3u^2 - 2u^3 with the seam distance u from the kept end,
 *         so the move starts and ends without a turn; on one cubic that is: the moved end and its handle go along,
 *         the other two control points stay. A straight last edge that is moved along itself stays straight and
 *         alone changes its length. Edges keep their ids.
 * Edges   joints that were smooth stay smooth, whatever the lengths of their handles.
 */
export function carrySeamEnd(run: readonly Edge[], end: 'start' | 'end', by: Point): Edge[] {
  if (run.length === 0 || (by.x === 0 && by.y === 0)) return [...run];
  if (end === 'start') return reversedRun(carrySeamEnd(reversedRun(run), 'end', by));
  const last = run[run.length - 1];
  const carried = carriedAlongItself(last.curve, by);
  if (carried !== undefined) return [...run.slice(0, -1), { ...last, curve: carried }];
  const lengths = run.map(({ curve }) => quadratureLength(curve));
  const totalMm = lengths.reduce((sum, length) => sum + length, 0);
  let fromMm = 0;
  return run.map((edge, i) => {
    const toMm = i + 1 === run.length ? totalMm : fromMm + lengths[i];
    const curve = carriedCurve(raised(edge.curve), fromMm / totalMm, toMm / totalMm, totalMm, by);
    fromMm = toMm;
    return { ...edge, curve };
  });
}

function carriedAlongItself(curve: Curve, by: Point): Curve | undefined {
  if (curve.kind !== 'line') return undefined;
  const own = way(curve.p0, curve.p1);
  if (Math.abs(cross(own, by)) > ALONG_ITSELF_SINE * norm(own) * norm(by)) return undefined;
  const end = add(curve.p1, by);
  const kept = (end.x - curve.p0.x) * own.x + (end.y - curve.p0.y) * own.y > 0;
  return kept && distance(curve.p0, end) >= SHORTEST_EDGE_MM ? line(curve.p0, end) : undefined;
}

/** Sine under which a move counts as along the edge; at a metre it is a hundredth of a micron aside. */
const ALONG_ITSELF_SINE = 1e-8;

function carriedCurve(curve: CubicBezier, from: number, to: number, totalMm: number, by: Point): CubicBezier {
  const firstMm = distance(curve.p0, curve.p1);
  const secondMm = distance(curve.p2, curve.p3);
  return cubic(
    add(curve.p0, scale(by, share(from))),
    add(curve.p1, scale(by, share(from) + (growth(from) * firstMm) / totalMm)),
    add(curve.p2, scale(by, share(to) - (growth(to) * secondMm) / totalMm)),
    add(curve.p3, scale(by, share(to))),
  );
}

const share = (u: number): number => u * u * (3 - 2 * u);
const growth = (u: number): number => 6 * u * (1 - u);

/** A line as a cubic of the same points. */
export function raised(curve: Curve): CubicBezier {
  if (curve.kind === 'cubic') return curve;
  return cubic(curve.p0, lerp(curve.p0, curve.p1, 1 / 3), lerp(curve.p0, curve.p1, 2 / 3), curve.p1);
}
