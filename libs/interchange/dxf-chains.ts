import { distance } from '#geometry';
import type { Stroke } from './dxf-strokes.js';
import type { ForeignLine, ForeignPoint } from './foreign-pattern.js';

/** Ends no further apart than this are one point: a file of two decimals rounds an arc's end by half of it. */
const JOIN_MM = 0.03;
/** Points nearer than this say the same place twice; what two decimals can hold apart stays. */
const DOUBLED_MM = 0.006;

/** Every stroke by itself, its repeated points taken out. */
export function lineOfStroke({ points, closed, kind, line }: Stroke, layer: number): ForeignLine {
  return tidied(points, closed, { layer, line, kinds: [kind] });
}

/**
 * Strokes of one layer put together where their ends meet, in whatever direction and order they were drawn.
 *
 * Edges   a stroke that is closed stays by itself; where more than two ends meet, those that come first in the file are
 *         joined.
 */
export function chained(strokes: readonly Stroke[], layer: number): ForeignLine[] {
  const closed = strokes.filter((stroke) => isRing(stroke));
  const open = strokes.filter((stroke) => !isRing(stroke));
  const chains = chainsOf(open).map(({ links, line }) => {
    const points: ForeignPoint[] = [];
    const repeats: ForeignPoint[] = [];
    for (const { stroke, turned } of links) {
      const along = turned ? [...stroke.points].reverse() : stroke.points;
      if (points.length > 0) repeats.push(along[0]);
      points.push(...along.slice(points.length > 0 ? 1 : 0));
    }
    const kinds = [...new Set(links.map(({ stroke }) => stroke.kind))];
    const made = tidied(points, false, { layer, line, kinds });
    return { ...made, repeats: [...made.repeats, ...repeats] };
  });
  return [...closed.map((stroke) => lineOfStroke(stroke, layer)), ...chains].sort((a, b) => a.line - b.line);
}

function isRing({ points, closed }: Stroke): boolean {
  return closed || (points.length > 3 && distance(points[0], points[points.length - 1]) <= JOIN_MM);
}

function tidied(
  given: readonly ForeignPoint[],
  closed: boolean,
  rest: Pick<ForeignLine, 'layer' | 'line' | 'kinds'>,
): ForeignLine {
  const points: ForeignPoint[] = [];
  const doubled: ForeignPoint[] = [];
  for (const p of given) {
    const last = points.at(-1);
    if (last !== undefined && distance(last, p) < DOUBLED_MM) doubled.push(p);
    else points.push(p);
  }
  const repeats: ForeignPoint[] = [];
  const ends = points.length > 2 && distance(points[0], points[points.length - 1]) <= JOIN_MM;
  if (ends) repeats.push(...points.splice(-1));
  return { ...rest, points, closed: closed || ends, doubled, repeats };
}

interface Link {
  readonly stroke: Stroke;
  readonly turned: boolean;
}

interface Chain {
  readonly links: readonly Link[];
  readonly line: number;
}

function chainsOf(strokes: readonly Stroke[]): Chain[] {
  const ends = new EndIndex(strokes);
  const used = new Set<Stroke>();
  return strokes.flatMap((first) => {
    if (used.has(first)) return [];
    used.add(first);
    const links: Link[] = [{ stroke: first, turned: false }];
    const grow = (from: ForeignPoint, add: (link: Link) => void, atEnd: boolean): void => {
      let at = from;
      for (let step = 0; step < strokes.length; step++) {
        const next = ends.near(at, used);
        if (next === undefined) return;
        used.add(next.stroke);
        // Grown at its end, a chain goes on from the start of the next stroke; grown at its start, from the end.
        add({ stroke: next.stroke, turned: atEnd ? next.isEnd : !next.isEnd });
        at = next.isEnd ? next.stroke.points[0] : next.stroke.points[next.stroke.points.length - 1];
      }
    };
    grow(first.points[first.points.length - 1], (link) => links.push(link), true);
    const before: Link[] = [];
    grow(first.points[0], (link) => before.push(link), false);
    const all = [...before.reverse(), ...links];
    return [
      { links: all, line: all.reduce((least, { stroke }) => Math.min(least, stroke.line), first.line) },
    ];
  });
}

/** Ends of strokes by the square of a grid they lie in. */
class EndIndex {
  private readonly cells = new Map<number, { at: ForeignPoint; stroke: Stroke; isEnd: boolean }[]>();

  constructor(strokes: readonly Stroke[]) {
    for (const stroke of strokes) {
      this.enter(stroke.points[0], stroke, false);
      this.enter(stroke.points[stroke.points.length - 1], stroke, true);
    }
  }

  private enter(at: ForeignPoint, stroke: Stroke, isEnd: boolean): void {
    const key = keyOf(Math.floor(at.x / CELL_MM), Math.floor(at.y / CELL_MM));
    const cell = this.cells.get(key);
    if (cell === undefined) this.cells.set(key, [{ at, stroke, isEnd }]);
    else if (cell.length < CELL_ENDS_MAX) cell.push({ at, stroke, isEnd });
  }

  near(at: ForeignPoint, used: ReadonlySet<Stroke>): { stroke: Stroke; isEnd: boolean } | undefined {
    for (const column of columnsNear(at.x))
      for (const row of columnsNear(at.y))
        for (const end of this.cells.get(keyOf(column, row)) ?? [])
          if (!used.has(end.stroke) && distance(end.at, at) <= JOIN_MM) return end;
    return undefined;
  }
}

/** More ends than this in one place are no outline; without a bound ten thousand of them would take minutes. */
const CELL_ENDS_MAX = 32;
const CELL_MM = 1;
/** More squares than lie within a hundred metres to either side, past which nothing is read. */
const COLUMNS = 2 ** 20;

function keyOf(column: number, row: number): number {
  return column * COLUMNS + row;
}

/** The column a place lies in, and the ones beside it that what joins it may lie in: hardly ever any. */
function columnsNear(mm: number): number[] {
  const own = Math.floor(mm / CELL_MM);
  const [before, after] = [Math.floor((mm - JOIN_MM) / CELL_MM), Math.floor((mm + JOIN_MM) / CELL_MM)];
  return [own, ...(before === own ? [] : [before]), ...(after === own ? [] : [after])];
}
