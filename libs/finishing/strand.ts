import { along, cross, direction, distance, dot, opposite, scale, way, type Point } from '#geometry';
import type { CutPoint } from './cut-piece.js';
import type { Strand } from './seam-run.js';

/** How far a strand is carried on beyond its ends to meet a neighbour; no corner treatment reaches further. */
const REACH_MM = 250;

export interface StraightLine {
  readonly origin: Point;
  /** Of length 1. */
  readonly towards: Point;
}

export function reversedStrand(strand: Strand): Strand {
  return {
    points: [...strand.points].reverse(),
    startDirection: opposite(strand.endDirection),
    endDirection: opposite(strand.startDirection),
  };
}

export function endOfStrand(strand: Strand): Point {
  return strand.points[strand.points.length - 1].at;
}

export function startOfStrand(strand: Strand): Point {
  return strand.points[0].at;
}

/** The points of a strand with its straight ends beyond it, first and last. */
function carriedOn({ points, startDirection, endDirection }: Strand): Point[] {
  const first = points[0].at;
  const last = points[points.length - 1].at;
  return [
    along(first, startDirection, -REACH_MM),
    ...points.map(({ at }) => at),
    along(last, endDirection, REACH_MM),
  ];
}

/**
 * The strand shortened or carried on so that it ends on a line: at the crossing nearest to its end.
 * Undefined when it does not cross the line within reach.
 */
export function endAtLine(strand: Strand, line: StraightLine): Strand | undefined {
  const chain = carriedOn(strand);
  for (let i = chain.length - 2; i >= 0; i--) {
    const hit = crossingOf(chain[i], chain[i + 1], line);
    if (hit === undefined) continue;
    return endedAt(strand, i, hit);
  }
  return undefined;
}

export function startAtLine(strand: Strand, line: StraightLine): Strand | undefined {
  const ended = endAtLine(reversedStrand(strand), line);
  return ended === undefined ? undefined : reversedStrand(ended);
}

// Side `i` of the carried-on chain goes from point i - 1 to point i of the strand.
function endedAt(strand: Strand, side: number, at: Point): Strand {
  const kept = strand.points.slice(0, side);
  const before = kept.at(-1)?.at ?? along(at, strand.startDirection, -1);
  const endDirection =
    side > strand.points.length - 1 || distance(before, at) === 0
      ? strand.endDirection
      : direction(before, at);
  return {
    points: [...smoothEnd(kept, strand, side), { at, kind: 'turn' }],
    startDirection: strand.startDirection,
    endDirection,
  };
}

// Where a strand is carried on straight, its old end is no corner any more.
function smoothEnd(kept: readonly CutPoint[], { points }: Strand, side: number): readonly CutPoint[] {
  return side === points.length
    ? [...kept.slice(0, -1), { at: kept[kept.length - 1].at, kind: 'curve' }]
    : kept;
}

/** A strand with both ends carried on to `tip`: none of the old ends is a corner any more. */
export function carriedTo(
  before: Strand,
  tip: Point,
  after: Strand,
): { readonly before: Strand; readonly after: Strand } {
  const points = smoothEnd(before.points, before, before.points.length);
  const reversed = reversedStrand(after);
  const rest = smoothEnd(reversed.points, reversed, reversed.points.length);
  return {
    before: { ...before, points: [...points, { at: tip, kind: 'turn' }] },
    after: reversedStrand({ ...reversed, points: rest }),
  };
}

function crossingOf(from: Point, to: Point, { origin, towards }: StraightLine): Point | undefined {
  const a = cross(towards, way(origin, from));
  const b = cross(towards, way(origin, to));
  if (a === b || a * b > 0) return undefined;
  const share = a / (a - b);
  return { x: from.x + share * (to.x - from.x), y: from.y + share * (to.y - from.y) };
}

/** The mirror image of a point in a line. */
export function mirrored(p: Point, { origin, towards }: StraightLine): Point {
  const from = way(origin, p);
  const on = scale(towards, dot(from, towards));
  return { x: origin.x + 2 * on.x - from.x, y: origin.y + 2 * on.y - from.y };
}

export interface Met {
  /** The points of `path` before the meeting. */
  readonly path: readonly Point[];
  /** The other strand, from the meeting on. */
  readonly other: Strand;
}

/** Where a path first meets a strand that is carried on beyond its start; undefined when it does not. */
export function firstMeeting(path: readonly Point[], other: Strand): Met | undefined {
  const chain = carriedOn(other);
  for (let i = 0; i + 1 < path.length; i++) {
    const hit = nearestHit(path[i], path[i + 1], chain);
    if (hit === undefined) continue;
    const rest = other.points.slice(hit.side);
    const points: CutPoint[] = [{ at: hit.at, kind: 'turn' }, ...rest];
    return { path: path.slice(0, i + 1), other: { ...other, points } };
  }
  return undefined;
}

function nearestHit(
  from: Point,
  to: Point,
  chain: readonly Point[],
): { readonly at: Point; readonly side: number } | undefined {
  let best: { at: Point; side: number; share: number } | undefined;
  const u = way(from, to);
  for (let side = 0; side + 1 < chain.length; side++) {
    const v = way(chain[side], chain[side + 1]);
    const denominator = cross(u, v);
    if (denominator === 0) continue;
    const between = way(from, chain[side]);
    const share = cross(between, v) / denominator;
    const otherShare = cross(between, u) / denominator;
    if (share < 0 || share > 1 || otherShare < 0 || otherShare > 1) continue;
    if (best !== undefined && best.share <= share) continue;
    best = { at: { x: from.x + share * u.x, y: from.y + share * u.y }, side, share };
  }
  return best;
}
