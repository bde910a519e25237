import type { Point } from '#geometry';
import type { ReadPage } from './read-pdf.js';

type Pair = readonly [number, number];

/** The name of a page: row letter and column number. */
export function nameOf({ texts }: ReadPage): string {
  return texts.find((text) => /^[A-Z]+\d+$/.test(text)) ?? '?';
}

/** Pages laid on each other, cross on cross. */
export interface JoinedTiles {
  /** Corners of the cut lines of all pages, in the frame of the first. */
  readonly cutLine: readonly Pair[];
  /** How far the crosses of two neighbours lie apart at most, when a third has joined them already. */
  readonly crossesApartMm: number;
  /** Pages that no cross joins to the others. */
  readonly loose: readonly string[];
}

export function joinTiles(pages: readonly ReadPage[]): JoinedTiles {
  const byName = new Map(pages.map((page) => [nameOf(page), page]));
  const crosses = new Map(pages.map((page) => [nameOf(page), crossesOf(page)]));
  const origin = new Map<string, Pair>([[nameOf(pages[0]), [0, 0]]]);
  let crossesApartMm = 0;
  for (const [name, [x, y]] of origin) {
    const own = crosses.get(name) ?? [];
    for (const [next, mine, its] of neighboursOf(name)) {
      const cross = crosses.get(next)?.[its];
      if (cross === undefined) continue;
      const at: Pair = [x + own[mine][0] - cross[0], y + own[mine][1] - cross[1]];
      const known = origin.get(next) ?? at;
      crossesApartMm = Math.max(crossesApartMm, Math.abs(known[0] - at[0]), Math.abs(known[1] - at[1]));
      // The map is walked while it grows: each page is met once.
      origin.set(next, known);
    }
  }
  const cutLine = [...origin].flatMap(([name, [dx, dy]]) =>
    (byName.get(name)?.paths ?? [])
      .filter(({ layer }) => layer === 'cut line')
      .flatMap(({ points }) => points.map(([x, y]): Pair => [x + dx, y + dy])),
  );
  return { cutLine, crossesApartMm, loose: [...byName.keys()].filter((name) => !origin.has(name)) };
}

/** The pages beside a page, with the number of its own cross and of theirs at the same point of the pattern. */
function neighboursOf(name: string): (readonly [name: string, mine: number, its: number])[] {
  const [row, column] = [name.replace(/\d+/, ''), Number(name.replace(/\D+/, ''))];
  const below = String.fromCharCode(row.charCodeAt(0) + 1);
  const above = String.fromCharCode(row.charCodeAt(0) - 1);
  return [
    [`${row}${column + 1}`, 1, 0],
    [`${row}${column - 1}`, 0, 1],
    [`${below}${column}`, 0, 2],
    [`${above}${column}`, 2, 0],
  ];
}

/** The middles of the crosses of a page, lower ones first, then from the left. */
function crossesOf({ paths }: ReadPage): Pair[] {
  return paths
    .filter(({ layer, points }) => layer === 'page joining' && points.length === 4)
    .map(({ points }): Pair => [(points[0][0] + points[1][0]) / 2, (points[2][1] + points[3][1]) / 2])
    .sort((a, b) => (Math.abs(a[1] - b[1]) < 1 ? a[0] - b[0] : a[1] - b[1]));
}

/**
 * How far drawn corners lie from those of the pieces at most, each way: none is missing, none is there that no piece has.
 *
 * Shape  a piece may lie turned by quarters anywhere, but not mirrored. `Infinity` when one is not found within `withinMm`.
 */
export function apartMm(
  drawn: readonly Pair[],
  outlines: readonly (readonly Point[])[],
  withinMm: number,
): number {
  const found = new CornerSet(drawn, withinMm);
  const placed = outlines.map((outline) => placeOf(outline, drawn, found));
  if (placed.includes(undefined)) return Infinity;
  const corners = placed.flatMap((outline) => outline ?? []);
  const wanted = new CornerSet(corners, withinMm);
  return Math.max(...corners.map((p) => found.nearestMm(p)), ...drawn.map((p) => wanted.nearestMm(p)));
}

function placeOf(outline: readonly Point[], drawn: readonly Pair[], found: CornerSet): Pair[] | undefined {
  for (const [cos, sin] of [
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
  ]) {
    const turned = outline.map(({ x, y }): Pair => [x * cos - y * sin, x * sin + y * cos]);
    for (const [x, y] of drawn) {
      const [dx, dy] = [x - turned[0][0], y - turned[0][1]];
      if (turned.every((p) => found.nearestMm([p[0] + dx, p[1] + dy]) < Infinity))
        return turned.map((p): Pair => [p[0] + dx, p[1] + dy]);
    }
  }
  return undefined;
}

/** Row and column of a square in one number; no sheet is a million squares wide. */
const SQUARES_ACROSS = 1e6;

/** Points in squares, for the nearest one within the side of a square. */
class CornerSet {
  private readonly squares = new Map<number, Pair[]>();

  constructor(
    points: readonly Pair[],
    private readonly withinMm: number,
  ) {
    for (const p of points) {
      const square = this.squareOf(p);
      const there = this.squares.get(square);
      if (there === undefined) this.squares.set(square, [p]);
      else there.push(p);
    }
  }

  /** `Infinity` when there is none within. */
  nearestMm(p: Pair): number {
    const middle = this.squareOf(p);
    let nearest = Infinity;
    for (const row of [-SQUARES_ACROSS, 0, SQUARES_ACROSS])
      for (const column of [-1, 0, 1])
        for (const [x, y] of this.squares.get(middle + row + column) ?? []) {
          const mm = Math.hypot(x - p[0], y - p[1]);
          if (mm <= this.withinMm && mm < nearest) nearest = mm;
        }
    return nearest;
  }

  private squareOf([x, y]: Pair): number {
    return Math.floor(x / this.withinMm) + SQUARES_ACROSS * Math.floor(y / this.withinMm);
  }
}
