import { mapCurve, type Point } from '#geometry';
import type { Bounds } from './box.js';
import type { CutContent } from './cut-content.js';
import { BAR_ROOM_MM, SQUARE_MM, testMarks } from './cut-sheets.js';
import { fillMark, rectangle, strokeMark, textMark, type Mark, type Sheet } from './display-list.js';
import { textInBox } from './label-places.js';
import { lineWords, type LineWords } from './line-words.js';
import { CUT_PENS, PENS } from './pens.js';
import { wrapText, type TextStyle, type TextWidths } from './text-widths.js';
import {
  OVERLAP_MM,
  TILE_PAPERS,
  type TileArea,
  type TileGrid,
  type TilePaper,
  type TilePlan,
} from './tile-plan.js';

const COVER_TEXT = {
  title: { sizeMm: 7, weight: 'semibold' },
  step: { sizeMm: 3.7, weight: 'regular' },
  fine: { sizeMm: 2.6, weight: 'regular' },
  map: { sizeMm: 3, weight: 'semibold' },
} as const satisfies Record<string, TextStyle>;

/** The first page: how to print and join, the test square, the list of the pieces and the map of the pages. */
export function coverPage(
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
  y = write(steps(paperName, tiles.length, area, lineWords(content)), COVER_TEXT.step, roomMm, y - 2, left);
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

function steps(paperName: string, count: number, area: TileArea, lines: LineWords): string[] {
  const cut = area === 'a4-letter' ? 'inside the grey frame' : 'at the grey frame';
  return [
    `1. Print this page alone, on ${paperName}, at 100 % ("actual size", no fitting to the page).`,
    '2. Measure the square below: each side must be 100 mm. The bar must be 4 inches. If not, change the print settings and print this page again. Do not cut cloth from a print that fails.',
    `3. Print the other ${count} pages. Trim the right and the upper edge of each ${cut}.`,
    '4. Join the pages by the map: lay the crosses in rings of two pages on each other, and tape. Pages overlap by 10 mm.',
    `5. ${lines.step}`,
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
