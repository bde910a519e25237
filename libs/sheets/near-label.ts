import type { Point } from '#geometry';
import { placeNear, textInBox } from './label-places.js';
import type { Page } from './page.js';
import { INK_ABOVE, INK_BELOW, textWidthMm, type TextStyle } from './text-widths.js';

export interface LabelRow {
  readonly text: string;
  readonly style: TextStyle;
}

const ROW_PITCH = 1.38;

/** White round a label as a share of its largest text. */
const CLEAR_SHARE = 0.28;

/**
 * Draw a label of one or more centred rows at the first free place near a point, with a leader when it has to stand
 * off. Nothing is drawn when the page is full there: the tables hold every number that a label shows.
 */
export function drawLabelNear<LayerId extends string>(
  page: Page<LayerId>,
  layer: LayerId,
  rows: readonly LabelRow[],
  point: Point,
  preferredRad: number,
): void {
  const widthMm = Math.max(...rows.map(({ text, style }) => textWidthMm(text, style, page.widths)));
  const heightMm = rows.reduce((sum, row) => sum + rowHeightMm(row, rows.length), 0);
  const clearMm = CLEAR_SHARE * Math.max(...rows.map(({ style }) => style.sizeMm));
  const placed = placeNear(page.room, point, widthMm / 2 + clearMm, heightMm / 2 + clearMm, preferredRad);
  if (placed === undefined) return;
  if (placed.leader !== undefined) {
    page.draw(layer, [placed.leader]);
    page.room.addCurves(placed.leader.curves, 'fine');
  }
  let top = placed.centre.y + heightMm / 2;
  for (const row of rows) {
    const y = top - rowHeightMm(row, rows.length) / 2;
    page.drawText(layer, textInBox(row.text, row.style, { x: placed.centre.x, y }, page.widths));
    top -= rowHeightMm(row, rows.length);
  }
}

// A single row needs its ink only, several need white between them.
function rowHeightMm({ style }: LabelRow, rowCount: number): number {
  return style.sizeMm * (rowCount === 1 ? INK_ABOVE + INK_BELOW : ROW_PITCH);
}
