import { cross, DEG, distance, dot, norm, way, outerRing, ringCrossings, type Point } from '#geometry';
import { workCorner, type CornerPlan, type WorkedCorner } from './corners.js';
import type { CutPoint, SeamRun } from './cut-piece.js';
import { foldedDart, type OpenDart } from './folded-dart.js';
import { runEnd, runEndDirection, runStartDirection, strandOf, type Strand } from './seam-run.js';

/** How a run ends and the next begins: a corner of the seam or an open dart between them. */
export type RunJoint = CornerPlan | OpenDart;

export interface CutRing {
  readonly cut: readonly CutPoint[];
  /** What was done at each joint, in the order of the runs. */
  readonly treatments: readonly WorkedCorner['treatment'][];
  readonly looped: boolean;
}

/**
 * The cut line round a closed chain of runs.
 *
 * Shape     clockwise; joint i lies between run i and the next.
 * Accuracy  chords within `toleranceMm`. Where the allowance is wider than the seam's bend the loops are taken out, and
 *           what is left is the line that keeps the distance.
 */
export function cutRing(runs: readonly SeamRun[], joints: readonly RunJoint[], toleranceMm: number): CutRing {
  const strands = runs.map((run) => strandOf(run, toleranceMm));
  const between: (readonly CutPoint[])[] = [];
  const treatments: WorkedCorner['treatment'][] = [];
  for (const [i, joint] of joints.entries()) {
    const next = (i + 1) % runs.length;
    const worked = workJoint(strands[i], strands[next], [runs[i], runs[next]], joint);
    strands[i] = worked.before;
    strands[next] = worked.after;
    between.push(worked.between);
    treatments.push(worked.treatment);
  }
  const points = strands.flatMap((strand, i) => [...strand.points, ...between[i]]);
  const ring = withoutStraightPoints(withoutFolds(withoutDoubles(points)));
  const looped =
    ringCrossings(
      ring.map(({ at }) => at),
      1,
    ).length > 0;
  return { cut: looped ? withoutLoops(ring) : ring, treatments, looped };
}

function workJoint(
  before: Strand,
  after: Strand,
  [run, next]: readonly [SeamRun, SeamRun],
  joint: RunJoint,
): WorkedCorner {
  if ('apex' in joint) return foldedDart(before, after, joint);
  const corner = { at: runEnd(run), into: runEndDirection(run), outOf: runStartDirection(next) };
  return workCorner(before, after, corner, joint);
}

/**
 * Points nearer than this to the one before are that point: a cutter cannot tell them apart, and a file of two decimals
 * would make a spike of them.
 */
const SAME_MM = 0.1;

function withoutDoubles(points: readonly CutPoint[]): CutPoint[] {
  const kept: CutPoint[] = [];
  for (const point of points) {
    const last = kept.at(-1);
    if (last !== undefined && distance(last.at, point.at) <= SAME_MM) {
      // A corner stays exactly where it is.
      if (point.kind === 'turn' && last.kind === 'curve') kept[kept.length - 1] = point;
      continue;
    }
    kept.push(point);
  }
  while (kept.length > 1 && distance(kept[0].at, kept[kept.length - 1].at) <= SAME_MM) kept.pop();
  return kept;
}

/** A line that turns back on itself over less than this is a slip of two meeting strands, not a corner. */
const FOLD_MM = 0.5;
const FOLD_COS = Math.cos(3 * DEG);

function withoutFolds(ring: readonly CutPoint[]): CutPoint[] {
  return ring.filter(({ at }, i) => {
    const u = way(ring[(i + ring.length - 1) % ring.length].at, at);
    const v = way(at, ring[(i + 1) % ring.length].at);
    return Math.min(norm(u), norm(v)) >= FOLD_MM || dot(u, v) > -FOLD_COS * norm(u) * norm(v);
  });
}

/** A point this near the straight line between its neighbours adds nothing. */
const STRAIGHT_MM = 1e-6;

function withoutStraightPoints(ring: readonly CutPoint[]): CutPoint[] {
  return ring.filter(({ at }, i) => {
    const before = ring[(i + ring.length - 1) % ring.length].at;
    const after = ring[(i + 1) % ring.length].at;
    const u = way(before, at);
    const v = way(at, after);
    return Math.abs(cross(u, v)) > STRAIGHT_MM * norm(way(before, after)) || dot(u, v) < 0;
  });
}

/** The clipper rounds to 1e-7; a point within this of an old one is that one. */
const OLD_POINT_MM = 1e-5;

function withoutLoops(ring: readonly CutPoint[]): CutPoint[] {
  const cell = (p: Point, dx = 0, dy = 0): string => `${Math.round(p.x) + dx} ${Math.round(p.y) + dy}`;
  const grid = new Map<string, CutPoint[]>();
  for (const point of ring) grid.set(cell(point.at), [...(grid.get(cell(point.at)) ?? []), point]);
  const near = (p: Point): CutPoint | undefined =>
    [-1, 0, 1]
      .flatMap((dx) => [-1, 0, 1].flatMap((dy) => grid.get(cell(p, dx, dy)) ?? []))
      .find(({ at }) => distance(at, p) <= OLD_POINT_MM);
  return withoutDoubles(outerRing(ring.map(({ at }) => at)).map((at) => near(at) ?? { at, kind: 'turn' }));
}
