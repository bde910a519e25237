import { mapCurve, type Point } from '#geometry';
import type { Bounds } from './box.js';
import type { CutContent } from './cut-content.js';
import { quantityInWords } from './cut-labels.js';
import { BAR_ROOM_MM, SQUARE_MM, testMarks } from './cut-sheets.js';
import { fillMark, rectangle, strokeMark, textMark, type Mark, type Sheet } from './display-list.js';
import { joinPicture } from './join-picture.js';
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
  number: { sizeMm: 3.7, weight: 'semibold' },
  map: { sizeMm: 3, weight: 'semibold' },
} as const satisfies Record<string, TextStyle>;

/** Column of the steps' numbers. */
const NUMBER_MM = 6;

/** The first page: how to print and join, the test square, the list of the pieces and the map of the pages. */
export function coverPage(
  content: CutContent,
  plan: TilePlan,
  paper: TilePaper,
  area: TileArea,
  widths: TextWidths,
): Sheet {
  const { widthMm, heightMm, name } = TILE_PAPERS[paper];
  const { grid } = plan;
  const paperName = area === 'a4-letter' ? 'A4 or Letter' : name;
  const left = grid.left;
  const roomMm = grid.windowWidthMm;
  const marks: Mark[] = [];
  let y = grid.bottom + grid.windowHeightMm;
  const write = writerOf(marks, widths);
  y = write([`Pattern ${content.reference}`], COVER_TEXT.title, roomMm, y, left);
  for (const [i, step] of steps(paperName, plan, lineWords(content)).entries()) {
    const top = y - 1.2;
    write([`${i + 1}`], COVER_TEXT.number, NUMBER_MM, top, left);
    y = write([step], COVER_TEXT.step, roomMm - NUMBER_MM, top, left + NUMBER_MM);
  }
  const squareBottom = y - 6 - SQUARE_MM - BAR_ROOM_MM;
  const listLeft = left + SQUARE_MM + 8;
  const list = content.pieces.map((piece) => `${piece.name}: ${quantityInWords(piece)}`);
  const listEnd = write(['Pieces'], COVER_TEXT.map, roomMm - SQUARE_MM - 8, y - 4, listLeft);
  const lastY = write(list, COVER_TEXT.step, roomMm - SQUARE_MM - 8, listEnd, listLeft);
  const footAt = { x: left, y: grid.bottom };
  marks.push(textMark(footOf(content), COVER_TEXT.fine, { at: footAt }, widths));
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
      {
        id: 'page-map',
        marks: [
          ...mapMarks(plan, mapRoom, widths),
          ...joining(plan, mapRoom === beside ? under : beside, widths),
        ],
      },
    ],
  };
}

/** Writes texts under each other into `marks`, wrapped to the room; gives the baseline of the last line. */
function writerOf(marks: Mark[], widths: TextWidths) {
  return (texts: readonly string[], style: TextStyle, room: number, from: number, x: number): number => {
    let at = from;
    for (const row of texts.flatMap((text) => wrapText(text, room, style, widths))) {
      at -= style.sizeMm * 1.4;
      marks.push(textMark(row, style, { at: { x, y: at } }, widths));
    }
    return at;
  };
}

function footOf({ provenance: { engine, requestHash, dated } }: CutContent): string {
  const day = dated === undefined ? [] : [`dated ${dated}`];
  return [engine, `request ${requestHash.slice(0, 12)}`, ...day].join(' · ');
}

function steps(paperName: string, { tiles }: TilePlan, lines: LineWords): string[] {
  // From this corner one goes on to the right and upwards, which is where the edges are cut.
  const first = tiles[tiles.length - 1].name.replace(/\d+/, '');
  const corner = tiles.find(({ name }) => name.replace(/\d+/, '') === first)?.name ?? '';
  return [
    `Print only this page first, on ${paperName}, at 100 % ("actual size", not "fit to page").`,
    'Measure the square below with a ruler: each side is 100 mm, and the bar is 4 inches long. If not, change the print settings and print this page again. Do not cut cloth from a print that fails.',
    `Print pages 2 to ${tiles.length + 1}.`,
    'Where the margin names another page, cut that edge off along the fine grey line through the middle of the rings. Only right and upper edges are cut.',
    `Join the pages by the map, beginning with ${corner} at the lower left: lay the cut edge on the page it names, so that half rings meet to whole rings, and tape.`,
    lines.step,
  ];
}

/** The picture of two pages that are laid on each other, by the names of two that are. */
function joining({ tiles }: TilePlan, room: Bounds, widths: TextWidths): Mark[] {
  const pairs = tiles.flatMap((tile) => {
    const next = tiles.find(({ row, column }) => row === tile.row && column === tile.column + 1);
    return next === undefined ? [] : [{ tile, next }];
  });
  // Where one begins: lowest, and of the lowest leftmost.
  const [first] = pairs.sort((a, b) => a.tile.row - b.tile.row || a.tile.column - b.tile.column);
  return first === undefined ? [] : joinPicture(room, first.tile.name, first.next.name, widths);
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
    // The last ones are not overlapped any more: they are as large as they show.
    const b = toMap({
      x: (column + 1) * grid.stepXMm + (column + 1 === grid.columns ? OVERLAP_MM : 0),
      y: (row + 1) * grid.stepYMm + (row + 1 === grid.rows ? OVERLAP_MM : 0),
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
