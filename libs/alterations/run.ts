import {
  crossingsWithLine,
  endOf,
  line,
  parameterAtLength,
  pointAt,
  quadratureLength,
  reversed,
  splitCurve,
  startOf,
  type Curve,
  type Point,
} from '#geometry';
import type { Edge } from '#pattern';

/**
 * The shortest edge a pattern is written with. A shorter one has no length a cutter could act on, and its
 * direction is mostly rounding.
 */
export const SHORTEST_EDGE_MM = 1;

/** A place on a run of edges: neighbours, each starting where the one before ends. */
export interface RunStation {
  readonly index: number;
  readonly t: number;
}

/** Length of a run by fixed quadrature: for solving, not for reporting. */
export function runLengthMm(run: readonly Edge[]): number {
  return run.reduce((sum, edge) => sum + quadratureLength(edge.curve), 0);
}

export function startOfRun(run: readonly Edge[]): Point {
  return startOf(run[0].curve);
}

export function endOfRun(run: readonly Edge[]): Point {
  return endOf(run[run.length - 1].curve);
}

/**
 * The place at a seam distance from the start of the run.
 *
 * Edges   a distance past the end counts as the end, one before the start as the start; the callers take a share
 *         of the run's own length, so that only rounding gets there.
 */
export function stationAtLength(run: readonly Edge[], lengthMm: number, toleranceMm: number): RunStation {
  let restMm = Math.max(0, lengthMm);
  for (const [index, { curve }] of run.entries()) {
    const edgeMm = quadratureLength(curve);
    if (restMm <= edgeMm)
      return { index, t: parameterAtLength(curve, Math.max(0, restMm - toleranceMm / 2), toleranceMm) };
    restMm -= edgeMm;
  }
  return { index: run.length - 1, t: 1 };
}

/** The places where the run crosses a level, in order along it. */
export function stationsAtLevel(run: readonly Edge[], levelMm: number): (RunStation & { point: Point })[] {
  return run.flatMap(({ curve }, index) =>
    crossingsWithLine(curve, { x: 0, y: levelMm }, { x: 1, y: 0 }).map((t) => ({
      index,
      t,
      point: pointAt(curve, t),
    })),
  );
}

/** Cut a run in two exactly at a place; a part may be as short as it comes. */
export function splitRun(run: readonly Edge[], station: RunStation): readonly [head: Edge[], tail: Edge[]] {
  const edge = run[station.index];
  const [head, tail] = splitCurve<Curve>(edge.curve, station.t);
  return [
    [...run.slice(0, station.index), { ...edge, curve: head }],
    [{ ...edge, curve: tail }, ...run.slice(station.index + 1)],
  ];
}

/**
 * Cut a run in two. Both parts of a cut edge keep its id until `settleIds` decides whose it is.
 *
 * Edges   where the cut would leave a part shorter than `SHORTEST_EDGE_MM`, the run is parted at the joint beside
 *         it instead, and the cut is up to that far from where it was asked for.
 */
export function cutRun(run: readonly Edge[], station: RunStation): readonly [head: Edge[], tail: Edge[]] {
  const edge = run[station.index];
  const [head, tail] = splitCurve<Curve>(edge.curve, station.t);
  const { index } = station;
  if (quadratureLength(head) < SHORTEST_EDGE_MM) return [run.slice(0, index), run.slice(index)];
  if (quadratureLength(tail) < SHORTEST_EDGE_MM) return [run.slice(0, index + 1), run.slice(index + 1)];
  return splitRun(run, station);
}

/** The same run travelled the other way. */
export function reversedRun(run: readonly Edge[]): Edge[] {
  return run.map((edge) => ({ ...edge, curve: reversed(edge.curve) })).reverse();
}

export function withStart(curve: Curve, p0: Point): Curve {
  return curve.kind === 'line' ? line(p0, curve.p1) : { ...curve, p0 };
}

export function withEnd(curve: Curve, end: Point): Curve {
  return curve.kind === 'line' ? line(curve.p0, end) : { ...curve, p3: end };
}
