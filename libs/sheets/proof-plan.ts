import type { Bounds } from './box.js';
import type { DrawnPieces } from './proof-content.js';
import { SheetError } from './sheet-error.js';
import { extentOf, planPieces, type SheetPlan } from './sheet-plan.js';

/** ISO 216 A3, lying. */
export const PAGE = { widthMm: 420, heightMm: 297 } as const;

/** What office printers leave unprinted is at most 5 mm; 8 leaves a margin to look at. */
const MARGIN_MM = 8;

/** The tables' column: at 2.5 mm text a line of it holds about a hundred letters. */
export const COLUMN: Bounds = {
  left: 276,
  right: PAGE.widthMm - MARGIN_MM,
  bottom: MARGIN_MM,
  top: PAGE.heightMm - MARGIN_MM,
};

/** The strip under the drawing with scale and legend. */
export const LEGEND: Bounds = { left: MARGIN_MM, right: 268, bottom: MARGIN_MM, top: 12.5 };

export const DRAWING: Bounds = {
  left: MARGIN_MM,
  right: 268,
  bottom: 14.5,
  top: PAGE.heightMm - MARGIN_MM,
};

/** Under the hem and over the highest waist point there is room for one label. */
const BELOW_MM = 4.5;
const ABOVE_MM = 2;

/** Between the forks stands the fork level's label. */
const MIDDLE_MM = 21;

/**
 * The scales a sheet may have, largest first. 1:4 and 1:5 hold the blocks of adults from 1.40 to 2.05 m; the rest
 * are for what an outside file may hold.
 */
const SCALES = [4, 5, 6, 8, 10, 15, 20, 30, 50] as const;

/** Errors  SheetError TOO_LARGE when even the smallest scale does not hold the pieces. */
export function planProof(after: DrawnPieces, before: DrawnPieces | undefined): SheetPlan {
  const extent = extentOf(before === undefined ? [after] : [after, before]);
  const { widthMm, heightMm } = extent;
  const across = DRAWING.right - DRAWING.left - MIDDLE_MM;
  const up = DRAWING.top - DRAWING.bottom - BELOW_MM - ABOVE_MM;
  const scale = SCALES.find((s) => widthMm / s <= across && heightMm / s <= up);
  if (scale === undefined) throw new SheetError('TOO_LARGE', { widthMm, heightMm });
  const left = DRAWING.left + (across - widthMm / scale) / 2;
  const base = DRAWING.bottom + BELOW_MM + (up - heightMm / scale) / 2;
  return planPieces(extent, scale, left, base, MIDDLE_MM);
}
