import { mapCurve, type Curve, type Point } from '#geometry';
import { boundsOfBox, boundsOfPoints, boxOfText, type Bounds } from './box.js';
import type { CutContent } from './cut-content.js';
import { BAR_ROOM_MM, cutPlane, SQUARE_MM, testMarks } from './cut-sheets.js';
import {
  circle,
  fillMark,
  polyline,
  rectangle,
  strokeMark,
  textMark,
  type Layer,
  type Mark,
  type Sheet,
} from './display-list.js';
import { CUT_PENS, PENS } from './pens.js';
import { textInBox } from './label-places.js';
import { textWidthMm, wrapText, type TextStyle, type TextWidths } from './text-widths.js';

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
function boundsOfParts(mark: Mark): Bounds[] {
  if (mark.kind === 'text') return [boundsOfBox(boxOfText(mark))];
  return mark.curves.map(boundsOfCurve);
}

function boundsOfCurve(curve: Curve): Bounds {
  return boundsOfPoints(
    curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3],
  );
}

function meet(a: Bounds, b: Bounds): boolean {
  return a.left < b.right && a.right > b.left && a.bottom < b.top && a.top > b.bottom;
}

/**
 * A pattern on household paper: a page that says how to print and join, with the test square and the map of the pages,
 * and then every page that shows something.
 *
 * Shape   neighbours overlap by 10 mm; the crosses in rings lie at the same points of the pattern on every page that
 *         shows them, so that pages are joined cross on cross. Pages are named by row and column.
 */
export function tileSheets(
  content: CutContent,
  paper: TilePaper,
  area: TileArea,
  widths: TextWidths,
): Sheet[] {
  const plan = planTiles(content, paper, area, widths);
  const pages = plan.tiles.map((tile, i) => tilePage(content, plan, tile, i, paper, widths));
  return [coverPage(content, plan, paper, area, widths), ...pages];
}

function tilePage(
  content: CutContent,
  { grid, tiles, plane }: TilePlan,
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
  const layers = plane.layers.map(({ id, marks }): Layer => ({
    id,
    clip,
    marks: marks
      .filter((mark) => boundsOfParts(mark).some((box) => meet(box, window)))
      .map((mark) => movedMark(mark, move)),
  }));
  const title = `${name} page ${tile.name} of pattern ${content.reference}`;
  const join: Layer = {
    id: 'page-joining',
    marks: [
      strokeMark(rectangle(clip.left, clip.bottom, clip.right, clip.top), CUT_PENS.frame),
      ...registrationMarks(grid),
      ...marginWords(content, { grid, tiles, plane }, tile, index, widths),
    ],
  };
  return { widthMm, heightMm, title, layers: [...layers, join] };
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
  const says = `page ${index + 2} of ${tiles.length + 1} · cut line bold, seam line dashed`;
  const reference = fitted(content.reference, grid.windowWidthMm * 0.4, SMALL_TEXT, widths);
  const neighbour = (column: number, row: number): Tile | undefined =>
    tiles.find((other) => other.column === column && other.row === row);
  const joins: [Tile | undefined, Point, number][] = [
    [neighbour(tile.column, tile.row + 1), { x: (grid.left + right) / 2, y: top + 2.2 }, 0],
    [
      neighbour(tile.column + 1, tile.row),
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
        : [textMark(`joins ${other.name}`, SMALL_TEXT, { at, anchor: 'middle', angleRad }, widths)],
    ),
  ];
}

/** As much of a text as fits, with an ellipsis for the rest. */
function fitted(text: string, widthMm: number, style: TextStyle, widths: TextWidths): string {
  if (textWidthMm(text, style, widths) <= widthMm) return text;
  const characters = [...text];
  while (characters.length > 1 && textWidthMm(`${characters.join('')}…`, style, widths) > widthMm)
    characters.pop();
  return `${characters.join('')}…`;
}

const COVER_TEXT = {
  title: { sizeMm: 7, weight: 'semibold' },
  step: { sizeMm: 3.7, weight: 'regular' },
  fine: { sizeMm: 2.6, weight: 'regular' },
  map: { sizeMm: 3, weight: 'semibold' },
} as const satisfies Record<string, TextStyle>;

function coverPage(
  content: CutContent,
  plan: TilePlan,
  paper: TilePaper,
  area: TileArea,
  widths: TextWidths,
): Sheet {
  const { widthMm, heightMm, name } = TILE_PAPERS[paper];
  const { grid, tiles } = plan;
  const paperName = area === 'a4-letter' ? 'A4 or Letter' : name;
  const left = grid.left;
  const roomMm = grid.windowWidthMm;
  const marks: Mark[] = [];
  let y = grid.bottom + grid.windowHeightMm;
  const write = (
    texts: readonly string[],
    style: TextStyle,
    room: number,
    from: number,
    x: number,
  ): number => {
    let at = from;
    for (const row of texts.flatMap((text) => wrapText(text, room, style, widths))) {
      at -= style.sizeMm * 1.4;
      marks.push(textMark(row, style, { at: { x, y: at } }, widths));
    }
    return at;
  };
  y = write([`Pattern ${content.reference}`], COVER_TEXT.title, roomMm, y, left);
  y = write(steps(paperName, tiles.length, area), COVER_TEXT.step, roomMm, y - 2, left);
  const squareBottom = y - 6 - SQUARE_MM - BAR_ROOM_MM;
  const listLeft = left + SQUARE_MM + 8;
  const list = content.pieces.map(
    (piece) => `${piece.name}: ${piece.quantity.asDrawn + piece.quantity.mirrored}`,
  );
  const listEnd = write(['Pieces'], COVER_TEXT.map, roomMm - SQUARE_MM - 8, y - 4, listLeft);
  const lastY = write(list, COVER_TEXT.step, roomMm - SQUARE_MM - 8, listEnd, listLeft);
  const { engine, requestHash, dated } = content.provenance;
  const foot = [
    engine,
    `request ${requestHash.slice(0, 12)}`,
    ...(dated === undefined ? [] : [`dated ${dated}`]),
  ];
  marks.push(textMark(foot.join(' · '), COVER_TEXT.fine, { at: { x: left, y: grid.bottom } }, widths));
  const bottom = grid.bottom + 6;
  const under = { left, bottom, right: left + roomMm, top: squareBottom - 5 };
  const beside = { left: listLeft, bottom, right: left + roomMm, top: lastY - 6 };
  const mapRoom = mapScale(plan.grid, beside) > mapScale(plan.grid, under) ? beside : under;
  return {
    widthMm,
    heightMm,
    title: `Pattern ${content.reference}: how to print and join`,
    layers: [
      { id: 'test-square', marks: testMarks(left, squareBottom, widths) },
      { id: 'notes', marks },
      { id: 'page-map', marks: mapMarks(plan, mapRoom, widths) },
    ],
  };
}

function steps(paperName: string, count: number, area: TileArea): string[] {
  const cut = area === 'a4-letter' ? 'inside the grey frame' : 'at the grey frame';
  return [
    `1. Print this page alone, on ${paperName}, at 100 % ("actual size", no fitting to the page).`,
    '2. Measure the square below: each side must be 100 mm. The bar must be 4 inches. If not, change the print settings and print this page again. Do not cut cloth from a print that fails.',
    `3. Print the other ${count} pages. Trim the right and the upper edge of each ${cut}.`,
    '4. Join the pages by the map: lay the crosses in rings of two pages on each other, and tape. Pages overlap by 10 mm.',
    '5. Cut along the bold line. The dashed line is the seam.',
  ];
}

function mapScale(grid: TileGrid, room: Bounds): number {
  const widthMm = grid.columns * grid.stepXMm + OVERLAP_MM;
  const heightMm = grid.rows * grid.stepYMm + OVERLAP_MM;
  return Math.min((room.right - room.left) / widthMm, (room.top - room.bottom) / heightMm);
}

/** The pages and the pieces over them, small. Pages without a drawing are not printed and have no name. */
function mapMarks({ grid, tiles, plane }: TilePlan, room: Bounds, widths: TextWidths): Mark[] {
  const planeHeight = grid.rows * grid.stepYMm + OVERLAP_MM;
  const scale = mapScale(grid, room);
  if (!(scale > 0)) return [];
  const toMap = (p: Point): Point => ({
    x: room.left + p.x * scale,
    y: room.top - (planeHeight - p.y) * scale,
  });
  const frames = tiles.map(({ column, row }) => {
    const a = toMap({ x: column * grid.stepXMm, y: row * grid.stepYMm });
    const b = toMap({
      x: (column + 1) * grid.stepXMm,
      y: (row + 1) * grid.stepYMm,
    });
    return strokeMark(rectangle(a.x, a.y, b.x, b.y), PENS.rule);
  });
  const outlines = plane.layers
    .filter(({ id }) => id === 'cut-line')
    .flatMap(({ marks }) =>
      marks.flatMap((mark) =>
        mark.kind === 'path'
          ? [
              strokeMark(
                mark.curves.map((curve) => mapCurve(curve, toMap)),
                CUT_PENS.frame,
              ),
            ]
          : [],
      ),
    );
  const sizeMm = Math.min(COVER_TEXT.map.sizeMm, (grid.stepXMm * scale) / 3);
  const names = tiles.flatMap(({ name, column, row }) => {
    const centre = toMap({
      x: column * grid.stepXMm + grid.windowWidthMm / 2,
      y: row * grid.stepYMm + grid.windowHeightMm / 2,
    });
    const text = textInBox(name, { ...COVER_TEXT.map, sizeMm }, centre, widths);
    const half = { x: text.widthMm / 2 + 0.4, y: sizeMm / 2 + 0.2 };
    return [
      fillMark(
        rectangle(centre.x - half.x, centre.y - half.y, centre.x + half.x, centre.y + half.y),
        'white',
      ),
      text,
    ];
  });
  return [...frames, ...outlines, ...names];
}
