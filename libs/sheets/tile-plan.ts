import type { Curve } from '#geometry';
import { boundsOfBox, boundsOfPoints, boxOfText, type Bounds } from './box.js';
import type { CutContent } from './cut-content.js';
import { cutPlane } from './cut-sheets.js';
import type { Mark, Sheet } from './display-list.js';
import type { TextWidths } from './text-widths.js';

/** Paper of home and copy shop printers, upright. */
export const TILE_PAPERS = {
  a4: { widthMm: 210, heightMm: 297, name: 'A4' },
  letter: { widthMm: 215.9, heightMm: 279.4, name: 'Letter' },
  a3: { widthMm: 297, heightMm: 420, name: 'A3' },
  tabloid: { widthMm: 279.4, heightMm: 431.8, name: 'Tabloid' },
} as const;
export type TilePaper = keyof typeof TILE_PAPERS;

/** `page` uses the whole paper; `a4-letter` only what A4 and Letter share, so that one file prints on both. */
export type TileArea = 'page' | 'a4-letter';

/** Printers leave about 5 mm blank; common practice, no source. The rest of the margin carries the page's name. */
const MARGIN_MM = 10;
/** What neighbouring pages both show. */
export const OVERLAP_MM = 10;
/** What A4 and Letter both hold within their margins. */
const COMMON = { widthMm: 190, heightMm: 254 };

/** Where the tiles lie over the plane of pieces, and how the plane comes out on each. */
export interface TileGrid {
  readonly columns: number;
  readonly rows: number;
  readonly windowWidthMm: number;
  readonly windowHeightMm: number;
  readonly stepXMm: number;
  readonly stepYMm: number;
  /** Lower left corner of the window on each page. */
  readonly left: number;
  readonly bottom: number;
}

export interface Tile {
  /** Row letter from the top and column number from the left: "B3". */
  readonly name: string;
  readonly column: number;
  /** From the bottom. */
  readonly row: number;
}

export interface TilePlan {
  readonly grid: TileGrid;
  /** The pages that show something, row by row from the top. */
  readonly tiles: readonly Tile[];
  readonly plane: Sheet;
}

/** Wider planes are not tried. */
const COLUMNS_MAX = 8;

/** The layout that takes the fewest pages; of equal ones the narrowest. */
export function planTiles(
  content: CutContent,
  paper: TilePaper,
  area: TileArea,
  widths: TextWidths,
): TilePlan {
  const { widthMm, heightMm } = TILE_PAPERS[paper];
  const window =
    area === 'a4-letter' ? COMMON : { widthMm: widthMm - 2 * MARGIN_MM, heightMm: heightMm - 2 * MARGIN_MM };
  const step = { x: window.widthMm - OVERLAP_MM, y: window.heightMm - OVERLAP_MM };
  let best: TilePlan | undefined;
  for (let columns = 1; columns <= COLUMNS_MAX; columns++) {
    const plane = planeOf(content, columns * step.x + OVERLAP_MM, widths);
    if (plane === undefined) continue;
    const grid: TileGrid = {
      columns,
      rows: Math.max(1, Math.ceil((plane.heightMm - OVERLAP_MM) / step.y)),
      windowWidthMm: window.widthMm,
      windowHeightMm: window.heightMm,
      stepXMm: step.x,
      stepYMm: step.y,
      left: (widthMm - window.widthMm) / 2,
      bottom: (heightMm - window.heightMm) / 2,
    };
    const tiles = tilesWithMarks(grid, plane);
    if (best === undefined || tiles.length < best.tiles.length) best = { grid, tiles, plane };
  }
  if (best === undefined) throw new RangeError('no trouser piece is wider than eight pages');
  return best;
}

function planeOf(content: CutContent, widthMm: number, widths: TextWidths): Sheet | undefined {
  try {
    return cutPlane(content, widthMm, widths).sheet;
  } catch {
    // A piece is wider than this many pages.
    return undefined;
  }
}

function tilesWithMarks(grid: TileGrid, plane: Sheet): Tile[] {
  const boxes = plane.layers.flatMap(({ marks }) => marks.flatMap(boundsOfParts));
  const tiles: Tile[] = [];
  for (let row = grid.rows - 1; row >= 0; row--) {
    for (let column = 0; column < grid.columns; column++) {
      const window = windowOf(grid, column, row);
      if (boxes.some((box) => meet(box, window)))
        tiles.push({ name: `${letterOf(grid.rows - 1 - row)}${column + 1}`, column, row });
    }
  }
  return tiles;
}

/** A, B, ... Z, AA, AB ... */
function letterOf(index: number): string {
  const first = index < 26 ? '' : String.fromCharCode(64 + Math.floor(index / 26));
  return first + String.fromCharCode(65 + (index % 26));
}

export function windowOf(grid: TileGrid, column: number, row: number): Bounds {
  const left = column * grid.stepXMm;
  const bottom = row * grid.stepYMm;
  return { left, bottom, right: left + grid.windowWidthMm, top: bottom + grid.windowHeightMm };
}

/** A mark by its parts: the outline of a piece meets a page only where one of its sides does. */
export function boundsOfParts(mark: Mark): Bounds[] {
  if (mark.kind === 'text') return [boundsOfBox(boxOfText(mark))];
  return mark.curves.map(boundsOfCurve);
}

function boundsOfCurve(curve: Curve): Bounds {
  return boundsOfPoints(
    curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3],
  );
}

export function meet(a: Bounds, b: Bounds): boolean {
  return a.left < b.right && a.right > b.left && a.bottom < b.top && a.top > b.bottom;
}
