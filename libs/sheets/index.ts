export * from './display-list.js';
export { CAUTIONS } from './proof-column.js';
export * from './proof-content.js';
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
