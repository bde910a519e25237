import { distance, flatten, lerp, type Curve, type Point } from '#geometry';
import { boundsOfBox, boundsOfPoints, boxOfText, type Bounds } from './box.js';
import type { CutPiece } from '#finishing';
import type { CutContent } from './cut-content.js';
import { drawPlane, layPlane, PLANE_MM_MAX, planePoint, shapesOf, type CutPlane } from './cut-sheets.js';
import type { Mark, Sheet } from './display-list.js';
import type { LaidShape } from './lay-shapes.js';
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

/** The layout that takes the fewest pages; of equal ones the one with pieces upright, and the narrowest. */
export function planTiles(
  content: CutContent,
  paper: TilePaper,
  area: TileArea,
  widths: TextWidths,
): TilePlan {
  const window = windowSize(paper, area);
  const posts = content.pieces.map(postsOf);
  let best: { readonly grid: TileGrid; readonly plane: CutPlane; readonly count: number } | undefined;
  for (const style of ['upright', 'close'] as const) {
    const shapes = shapesOf(content, style);
    for (let columns = 1; columns <= COLUMNS_MAX; columns++) {
      const counted = new CountedTiles(window);
      const most: number = best?.count ?? Infinity;
      const plane = layPlane(shapes, columns * (window.widthMm - OVERLAP_MM) + OVERLAP_MM, (place, piece) => {
        counted.add(posts[piece], place);
        return counted.count < most;
      });
      // A piece is wider than so many pages, or it takes no fewer than another layout.
      if (plane === undefined) continue;
      best = { grid: gridOver(plane, columns, paper, window), plane, count: counted.count };
    }
  }
  if (best === undefined) throw new RangeError('no trouser piece is wider than eight pages');
  const plane = drawPlane(content, best.plane, widths);
  return { grid: best.grid, tiles: tilesWithMarks(best.grid, plane), plane };
}

interface WindowSize {
  readonly widthMm: number;
  readonly heightMm: number;
}

function windowSize(paper: TilePaper, area: TileArea): WindowSize {
  const { widthMm, heightMm } = TILE_PAPERS[paper];
  if (area === 'a4-letter') return COMMON;
  return { widthMm: widthMm - 2 * MARGIN_MM, heightMm: heightMm - 2 * MARGIN_MM };
}

function gridOver(plane: CutPlane, columns: number, paper: TilePaper, window: WindowSize): TileGrid {
  const { widthMm, heightMm } = TILE_PAPERS[paper];
  const stepYMm = window.heightMm - OVERLAP_MM;
  return {
    columns,
    rows: Math.max(1, Math.ceil((plane.heightMm - OVERLAP_MM) / stepYMm)),
    windowWidthMm: window.widthMm,
    windowHeightMm: window.heightMm,
    stepXMm: window.widthMm - OVERLAP_MM,
    stepYMm,
    left: (widthMm - window.widthMm) / 2,
    bottom: (heightMm - window.heightMm) / 2,
  };
}

/** The same for every paper. */
const knownPosts = new WeakMap<CutPiece, readonly Point[]>();

/** Points of all that a piece is drawn with but for its words, in its own frame, near enough to miss no page. */
function postsOf(piece: CutPiece): readonly Point[] {
  const posts = knownPosts.get(piece) ?? chainsOf(piece).flat();
  knownPosts.set(piece, posts);
  return posts;
}

function chainsOf({ cut, lines, grain }: CutPiece): Point[][] {
  const ring = cut.map(({ at }) => at);
  const inner = lines.flatMap(({ curves }) => curves.map((curve) => flatten(curve, FLATTEN_MM)));
  return [[...ring, ring[0]], [...grain], ...inner].map(stretched);
}

/** The chain with points no farther apart than a stretch. */
function stretched(chain: readonly Point[]): Point[] {
  return chain.flatMap((p, i) => (i === 0 ? [p] : stretches(chain[i - 1], p)));
}

function stretches(from: Point, to: Point): Point[] {
  const count = Math.max(1, Math.ceil(distance(from, to) / STRETCH_MM));
  return Array.from({ length: count }, (_, i) => lerp(from, to, (i + 1) / count));
}

/** A slanting line is in few of the pages that its bounds meet: it is looked for by stretches of this length. */
const STRETCH_MM = 20;
/** Near enough to say which page a curve is on. */
const FLATTEN_MM = 1;

/**
 * Pages that are needed. What lies where two pages overlap is the left or the lower one's: the other is not printed for
 * it.
 */
class NeededTiles {
  private readonly found: Uint8Array;

  constructor(private readonly grid: TileGrid) {
    this.found = new Uint8Array(grid.rows * grid.columns);
  }

  has(row: number, column: number): boolean {
    return this.found[row * this.grid.columns + column] === 1;
  }

  addMark(mark: Mark): void {
    if (mark.kind === 'text')
      for (const { left, right, bottom, top } of boundsOfParts(mark)) this.addBox(left, right, bottom, top);
    else for (const curve of mark.curves) this.addCurve(curve);
  }

  private addCurve(curve: Curve): void {
    if (curve.kind === 'line') return this.addLine(curve.p0, curve.p1);
    const chain = flatten(curve, FLATTEN_MM);
    for (let i = 1; i < chain.length; i++) this.addLine(chain[i - 1], chain[i]);
  }

  private addLine(from: Point, to: Point): void {
    const count = Math.max(1, Math.ceil(distance(from, to) / STRETCH_MM));
    for (let i = 0; i < count; i++) {
      const [x0, y0] = [from.x + ((to.x - from.x) * i) / count, from.y + ((to.y - from.y) * i) / count];
      const [x1, y1] = [
        from.x + ((to.x - from.x) * (i + 1)) / count,
        from.y + ((to.y - from.y) * (i + 1)) / count,
      ];
      this.addBox(Math.min(x0, x1), Math.max(x0, x1), Math.min(y0, y1), Math.max(y0, y1));
    }
  }

  private addBox(left: number, right: number, bottom: number, top: number): void {
    const { columns, rows, stepXMm, stepYMm } = this.grid;
    const lastRow = lastTile(top, stepYMm, rows);
    const lastColumn = lastTile(right, stepXMm, columns);
    for (let row = firstTile(bottom, stepYMm); row <= lastRow; row++)
      for (let column = firstTile(left, stepXMm); column <= lastColumn; column++)
        this.found[row * columns + column] = 1;
  }
}

function firstTile(from: number, stepMm: number): number {
  return Math.max(0, Math.floor((from - OVERLAP_MM) / stepMm));
}

function lastTile(to: number, stepMm: number, count: number): number {
  return Math.max(0, Math.min(count, Math.ceil((to - OVERLAP_MM) / stepMm)) - 1);
}

/** About how many pages a layout takes: those that a point of a piece is on. Exact counting waits for the drawing. */
class CountedTiles {
  count = 0;
  private readonly stepXMm: number;
  private readonly stepYMm: number;
  private readonly found: Uint8Array;

  constructor(window: WindowSize) {
    this.stepXMm = window.widthMm - OVERLAP_MM;
    this.stepYMm = window.heightMm - OVERLAP_MM;
    this.found = new Uint8Array((Math.ceil(PLANE_MM_MAX / this.stepYMm) + 1) * COLUMNS_MAX);
  }

  add(posts: readonly Point[], place: LaidShape): void {
    const move = planePoint(place);
    for (const p of posts) {
      const { x, y } = move(p);
      const tile = stepsTo(y, this.stepYMm) * COLUMNS_MAX + stepsTo(x, this.stepXMm);
      if (this.found[tile] === 1) continue;
      this.found[tile] = 1;
      this.count++;
    }
  }
}

/** Of the pages that a point is on the first. */
function stepsTo(mm: number, stepMm: number): number {
  return Math.max(0, Math.ceil((mm - OVERLAP_MM) / stepMm) - 1);
}

function tilesWithMarks(grid: TileGrid, plane: Sheet): Tile[] {
  const needed = new NeededTiles(grid);
  for (const { marks } of plane.layers) for (const mark of marks) needed.addMark(mark);
  const tiles: Tile[] = [];
  for (let row = grid.rows - 1; row >= 0; row--)
    for (let column = 0; column < grid.columns; column++)
      if (needed.has(row, column))
        tiles.push({ name: `${letterOf(grid.rows - 1 - row)}${column + 1}`, column, row });
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
