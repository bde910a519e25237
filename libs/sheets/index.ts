export type {
  CheckContent,
  CheckContentPiece,
  CheckContentRule,
  CheckContentSeam,
  RuledRow,
} from './check-content.js';
export { checkSheet } from './check-sheet.js';
export type { Bounds } from './box.js';
export * from './cut-content.js';
export { drillCurves, notchCurves, type ChosenLayer, type CutLayer } from './cut-piece-drawing.js';
export { cutSheets, PAGE_MM_MAX, SHEET_PAPERS, type LayStyle, type SheetPaper } from './cut-sheets.js';
export * from './display-list.js';
export { CAUTIONS } from './proof-column.js';
export * from './proof-content.js';
export { markerRollSheets, type MarkerRollContent, type MarkerRollPiece } from './marker-roll.js';
export { markerSheet, type MarkerContent, type MarkerContentPiece } from './marker-sheet.js';
export { patternSheet, TEST_SQUARE_MM, type PatternContent } from './pattern-sheet.js';
export { proofSheet } from './proof-sheet.js';
export { PLEX_WIDTHS } from './plex-widths.js';
export * from './sheet-error.js';
export {
  INK_ABOVE,
  INK_BELOW,
  textWidthMm,
  type TextStyle,
  type TextWeight,
  type TextWidths,
} from './text-widths.js';
export { TILE_PAPERS, type TileArea, type TilePaper } from './tile-plan.js';
export { tileSheets } from './tile-sheets.js';
