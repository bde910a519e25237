import { direction, distance, dot, way, type Point } from '#geometry';
import type { SeamOutline } from './seam-outline.js';

/** A notch of the band, or the joint of two strips, by its way along the edge that is sewn to the waist. */
export interface BandMark {
  readonly mm: number;
  readonly piece: string;
  readonly at: Point;
}

/** The edge of a band from one end to the other, strips joined. */
export interface BandEdge {
  readonly lengthMm: number;
  /** Between the ends, in their order. */
  readonly marks: readonly BandMark[];
}

/** A band is cut in so many strips at most; of more it is not tried which comes first. */
const STRIPS_MAX = 3;
/** Belt loops notched on both sides among them. More marks are no places of the waist. */
const MARKS_MAX = 24;
/** Nearer to an end than this a notch is that end. */
const AT_END_MM = 1;

/** Every way in which strips can be joined to one edge: in any order, each from either end. */
export function bandEdges(strips: readonly SeamOutline[]): BandEdge[] {
  if (strips.length === 0 || strips.length > STRIPS_MAX) return [];
  return ordersOf(strips)
    .flatMap((order) =>
      order.reduce<BandEdge[]>(
        (edges, strip) => {
          const { from, to } = longEdge(strip);
          const both = [edgeOf(strip, from, to), edgeOf(strip, to, from)];
          return edges.flatMap((edge) => both.map((next) => joined(edge, next, strip)));
        },
        [{ lengthMm: 0, marks: [] }],
      ),
    )
    .filter(({ marks }) => marks.length <= MARKS_MAX);
}

/** The length of the longest edges of all strips. */
export function bandLengthMm(strips: readonly SeamOutline[]): number {
  return strips.reduce((sum, strip) => sum + longEdge(strip).mm, 0);
}

function ordersOf<T>(all: readonly T[]): T[][] {
  if (all.length < 2) return [[...all]];
  return all.flatMap((first, i) => ordersOf(all.filter((_, k) => k !== i)).map((rest) => [first, ...rest]));
}

function joined(edge: BandEdge, next: BandEdge & { readonly from: Point }, { piece }: SeamOutline): BandEdge {
  const joint = edge.lengthMm === 0 ? [] : [{ mm: edge.lengthMm, piece: piece.block, at: next.from }];
  return {
    lengthMm: edge.lengthMm + next.lengthMm,
    marks: [...edge.marks, ...joint, ...next.marks.map((mark) => ({ ...mark, mm: edge.lengthMm + mark.mm }))],
  };
}

interface LongEdge {
  readonly from: Point;
  readonly to: Point;
  readonly mm: number;
}

/** The longest side of a strip, with the notches on it; of two alike the one with more notches. */
function longEdge({ curves, piece }: SeamOutline): LongEdge {
  const sides = curves.map(({ curve }) => {
    const [from, to] = [curve.p0, curve.kind === 'line' ? curve.p1 : curve.p3];
    const on = piece.notches.filter(({ at }) => offSegment(at, from, to) < NOTCH_NEAR_MM).length;
    return { from, to, mm: distance(from, to), on };
  });
  const longest = Math.max(...sides.map(({ mm }) => mm));
  return sides
    .filter(({ mm }) => mm > 0.98 * longest)
    .reduce((best, side) => (side.on > best.on ? side : best));
}

/** Notches stand on the cut line, an allowance away from the edge. */
const NOTCH_NEAR_MM = 25;

function offSegment(p: Point, from: Point, to: Point): number {
  const along = direction(from, to);
  const reach = way(from, p);
  const mm = Math.min(distance(from, to), Math.max(0, dot(reach, along)));
  return distance(p, { x: from.x + mm * along.x, y: from.y + mm * along.y });
}

function edgeOf({ piece }: SeamOutline, from: Point, to: Point): BandEdge & { readonly from: Point } {
  const along = direction(from, to);
  const lengthMm = distance(from, to);
  const marks = piece.notches
    .filter(({ at }) => offSegment(at, from, to) < NOTCH_NEAR_MM)
    .map(({ at }): BandMark => ({ at, piece: piece.block, mm: dot(way(from, at), along) }))
    .filter(({ mm }) => mm > AT_END_MM && mm < lengthMm - AT_END_MM)
    .sort((a, b) => a.mm - b.mm);
  return { from, lengthMm, marks };
}
