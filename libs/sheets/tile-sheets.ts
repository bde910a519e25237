import { mapCurve, type Point } from '#geometry';
import type { Bounds } from './box.js';
import type { CutContent } from './cut-content.js';
import {
  circle,
  polyline,
  rectangle,
  strokeMark,
  textMark,
  type Layer,
  type Mark,
  type Sheet,
} from './display-list.js';
import { lineWords } from './line-words.js';
import { CUT_PENS } from './pens.js';
import { shortened, type TextWidths } from './text-widths.js';
import { coverPage } from './tile-cover.js';
import {
  boundsOfParts,
  meet,
  OVERLAP_MM,
  planTiles,
  TILE_PAPERS,
  windowOf,
  type Tile,
  type TileArea,
  type TileGrid,
  type TilePaper,
  type TilePlan,
} from './tile-plan.js';

/**
 * A pattern on household paper: a page that says how to print and join, with the test square and the map of the pages,
 * and then every page that shows something.
 *
 * Shape   neighbours overlap by 10 mm; the crosses in rings lie at the same points of the pattern on every page that
 *         shows them, so that pages are joined cross on cross. Pages are named by row and column. Of a solid line a page
 *         holds what it shows.
 */
export function tileSheets(
  content: CutContent,
  paper: TilePaper,
  area: TileArea,
  widths: TextWidths,
): Sheet[] {
  const plan = planTiles(content, paper, area, widths);
  const layers = plan.plane.layers.map(({ id, marks }) => ({
    id,
    marks: marks.map((mark): BoundedMark => ({ mark, parts: boundsOfParts(mark) })),
  }));
  const pages = plan.tiles.map((tile, i) => tilePage(content, { ...plan, layers }, tile, i, paper, widths));
  return [coverPage(content, plan, paper, area, widths), ...pages];
}

/** A mark with the bounds of its parts, which every page asks for. */
interface BoundedMark {
  readonly mark: Mark;
  readonly parts: readonly Bounds[];
}

interface BoundedPlan extends TilePlan {
  readonly layers: readonly { readonly id: string; readonly marks: readonly BoundedMark[] }[];
}

function tilePage(
  content: CutContent,
  { grid, tiles, plane, layers: drawn }: BoundedPlan,
  tile: Tile,
  index: number,
  paper: TilePaper,
  widths: TextWidths,
): Sheet {
  const { widthMm, heightMm, name } = TILE_PAPERS[paper];
  const window = windowOf(grid, tile.column, tile.row);
  const clip = {
    left: grid.left,
    bottom: grid.bottom,
    right: grid.left + grid.windowWidthMm,
    top: grid.bottom + grid.windowHeightMm,
  };
  const move = (p: Point): Point => ({
    x: p.x - window.left + grid.left,
    y: p.y - window.bottom + grid.bottom,
  });
  const layers = drawn.map(({ id, marks }): Layer => ({
    id,
    clip,
    marks: marks.flatMap((mark) => partOn(window, mark)).map((mark) => movedMark(mark, move)),
  }));
  const title = `${name} page ${tile.name} of pattern ${content.reference}`;
  const join: Layer = {
    id: 'page-joining',
    marks: [
      strokeMark(rectangle(clip.left, clip.bottom, clip.right, clip.top), CUT_PENS.frame),
      ...trimLines(grid, tiles, tile),
      ...registrationMarks(grid),
      ...marginWords(content, { grid, tiles, plane }, tile, index, widths),
    ],
  };
  return { widthMm, heightMm, title, layers: [...layers, join] };
}

/** Half the widest pen: as far as a line shows beside its middle. */
const PEN_REACH_MM = 0.5;

// A dashed line stays whole, or its dashes would begin anew on every page and not meet where pages are joined; a filled
// shape is no shape without all of its sides.
function partOn({ left, bottom, right, top }: Bounds, { mark, parts }: BoundedMark): Mark[] {
  const window = {
    left: left - PEN_REACH_MM,
    bottom: bottom - PEN_REACH_MM,
    right: right + PEN_REACH_MM,
    top: top + PEN_REACH_MM,
  };
  if (!parts.some((box) => meet(box, window))) return [];
  if (mark.kind === 'text' || mark.fill !== undefined || mark.stroke?.dashMm !== undefined) return [mark];
  return [{ ...mark, curves: mark.curves.filter((_, i) => meet(parts[i], window)) }];
}

function movedMark(mark: Mark, move: (p: Point) => Point): Mark {
  return mark.kind === 'text'
    ? { ...mark, at: move(mark.at) }
    : { ...mark, curves: mark.curves.map((curve) => mapCurve(curve, move)) };
}

const CROSS_MM = 4;
const RING_MM = 2.2;

/** The points of a page that its neighbours show as well, on the page. */
export function registrationPoints(grid: TileGrid): Point[] {
  const half = OVERLAP_MM / 2;
  return [0, 1].flatMap((up) =>
    [0, 1].map((over) => ({
      x: grid.left + half + over * grid.stepXMm,
      y: grid.bottom + half + up * grid.stepYMm,
    })),
  );
}

function registrationMarks(grid: TileGrid): Mark[] {
  return registrationPoints(grid).flatMap(({ x, y }) => [
    strokeMark(
      [
        ...polyline([
          { x: x - CROSS_MM, y },
          { x: x + CROSS_MM, y },
        ]),
        ...polyline([
          { x, y: y - CROSS_MM },
          { x, y: y + CROSS_MM },
        ]),
      ],
      CUT_PENS.registration,
    ),
    strokeMark(circle({ x, y }, RING_MM), CUT_PENS.registration),
  ]);
}

/** The page beside another, if it is printed. */
function neighbour(tiles: readonly Tile[], column: number, row: number): Tile | undefined {
  return tiles.find((other) => other.column === column && other.row === row);
}

// Cut through the rings, the upper page shows one half of each and the page under it the other: one sees that they meet.
function trimLines(grid: TileGrid, tiles: readonly Tile[], { column, row }: Tile): Mark[] {
  const right = grid.left + grid.windowWidthMm;
  const top = grid.bottom + grid.windowHeightMm;
  const half = OVERLAP_MM / 2;
  const lines = [
    ...(neighbour(tiles, column + 1, row) === undefined
      ? []
      : polyline([
          { x: right - half, y: grid.bottom },
          { x: right - half, y: top },
        ])),
    ...(neighbour(tiles, column, row + 1) === undefined
      ? []
      : polyline([
          { x: grid.left, y: top - half },
          { x: right, y: top - half },
        ])),
  ];
  return lines.map((line) => strokeMark([line], CUT_PENS.frame));
}

const NAME_TEXT = { sizeMm: 4.2, weight: 'semibold' } as const;
const SMALL_TEXT = { sizeMm: 2.6, weight: 'regular' } as const;

// The name of the page and what joins it stand in the margin, clear of the pattern.
function marginWords(
  content: CutContent,
  { grid, tiles }: TilePlan,
  tile: Tile,
  index: number,
  widths: TextWidths,
): Mark[] {
  const right = grid.left + grid.windowWidthMm;
  const top = grid.bottom + grid.windowHeightMm;
  const baseline = grid.bottom - 4.5;
  const name = textMark(tile.name, NAME_TEXT, { at: { x: grid.left, y: baseline } }, widths);
  const says = `page ${index + 2} of ${tiles.length + 1} · ${lineWords(content).margin}`;
  const reference = shortened(content.reference, grid.windowWidthMm * 0.4, SMALL_TEXT, widths);
  const joins: [Tile | undefined, Point, number][] = [
    [neighbour(tiles, tile.column, tile.row + 1), { x: (grid.left + right) / 2, y: top + 2.2 }, 0],
    [
      neighbour(tiles, tile.column + 1, tile.row),
      { x: right + 2.2 + 0.8 * SMALL_TEXT.sizeMm, y: (grid.bottom + top) / 2 },
      Math.PI / 2,
    ],
  ];
  return [
    name,
    textMark(reference, SMALL_TEXT, { at: { x: grid.left + name.widthMm + 4, y: baseline } }, widths),
    textMark(says, SMALL_TEXT, { at: { x: right, y: baseline }, anchor: 'end' }, widths),
    ...joins.flatMap(([other, at, angleRad]) =>
      other === undefined
        ? []
        : [
            textMark(
              `cut along the fine line, then lay on ${other.name}`,
              SMALL_TEXT,
              { at, anchor: 'middle', angleRad },
              widths,
            ),
          ],
    ),
  ];
}
