import { distance, direction, unit, type Point } from '#geometry';
import type { WorkedCorner } from './corners.js';
import type { CutPoint } from './cut-piece.js';
import type { Strand } from './seam-run.js';
import { endAtLine, mirrored, startAtLine, startOfStrand, type StraightLine } from './strand.js';

/** An open dart between two runs of the waist; its legs run from the waist to the apex and back. */
export interface OpenDart {
  readonly apex: Point;
  readonly sideLeg: Point;
  readonly centreLeg: Point;
}

/**
 * The cut line over an open dart that is pressed towards the centre: folded, its allowance lies under the waist's.
 *
 * The half of the wedge next to the centre leg is the mirror image of the centre's own cut line in that leg; the other
 * half is the mirror image of the first in the middle of the wedge. They meet in a point on the middle.
 */
export function foldedDart(before: Strand, after: Strand, dart: OpenDart): WorkedCorner {
  const sideLine = lineThrough(dart.apex, dart.sideLeg);
  const centreLine = lineThrough(dart.apex, dart.centreLeg);
  const middle = {
    origin: dart.apex,
    towards: unit({
      x: sideLine.towards.x + centreLine.towards.x,
      y: sideLine.towards.y + centreLine.towards.y,
    }),
  };
  const side = endAtLine(before, sideLine);
  const centre = startAtLine(after, centreLine);
  const half = centre === undefined ? undefined : imageUpTo(centre, centreLine, middle);
  if (side === undefined || centre === undefined || half === undefined)
    return { before, between: [], after, treatment: 'mitre' };
  const mirror = half.map((p) => mirrored(p, middle)).reverse();
  // Both halves end in the same point of the middle.
  const between = [...mirror.slice(0, -1), ...half].map((at, i, all): CutPoint => ({
    at,
    kind: i === 0 || i === mirror.length - 1 || i + 1 === all.length ? 'turn' : 'curve',
  }));
  return { before: side, between, after: centre, treatment: 'flush' };
}

function lineThrough(apex: Point, foot: Point): StraightLine {
  return { origin: apex, towards: direction(apex, foot) };
}

/** The mirror image of a strand in the leg it starts on, from the middle line to the leg. */
function imageUpTo(strand: Strand, leg: StraightLine, middle: StraightLine): Point[] | undefined {
  const points = strand.points.map(({ at }) => ({ at: mirrored(at, leg), kind: 'curve' as const }));
  const start = startOfStrand(strand);
  const further = mirrored(
    { x: start.x + strand.startDirection.x, y: start.y + strand.startDirection.y },
    leg,
  );
  const image: Strand = {
    points,
    startDirection: direction(start, further),
    endDirection: direction(points[points.length - 2].at, points[points.length - 1].at),
  };
  // The first crossing from the leg on: cut what lies beyond the middle.
  const cut = firstOnLine(image, middle);
  return cut === undefined ? undefined : cut.reverse();
}

function firstOnLine(strand: Strand, line: StraightLine): Point[] | undefined {
  for (let count = 2; count <= strand.points.length; count++) {
    const head: Strand = { ...strand, points: strand.points.slice(0, count) };
    const last = head.points[count - 1].at;
    const before = head.points[count - 2].at;
    const ended = endAtLine({ ...head, endDirection: direction(before, last) }, line);
    if (ended === undefined) continue;
    const end = ended.points[ended.points.length - 1].at;
    const within = count < strand.points.length ? distance(before, end) <= distance(before, last) : true;
    if (within) return ended.points.map(({ at }) => at);
  }
  return undefined;
}
