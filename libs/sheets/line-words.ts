import type { CutContent } from './cut-content.js';

export interface LineWords {
  /** What to do with the lines, for whoever cuts. */
  readonly step: string;
  /** The same in a margin. */
  readonly margin: string;
  /** What the drawing is. */
  readonly what: string;
}

/** What a print says of its lines: only of those it has, since somebody cuts by them. */
export function lineWords({ layers }: CutContent): LineWords {
  const has = (layer: 'cut-line' | 'seam-line'): boolean => layers?.includes(layer) ?? true;
  if (!has('cut-line'))
    return {
      step: 'The dashed line is the seam. No cut line is drawn: add the allowances outside it before you cut.',
      margin: 'seam line dashed, no allowance',
      what: 'true size, seam lines without allowances',
    };
  if (!has('seam-line'))
    return {
      step: 'Cut out along the bold line. Seam and hem allowances are in the paper already; the seam is not drawn.',
      margin: 'cut line bold',
      what: 'true size, with allowances',
    };
  return {
    step: 'Cut out along the bold line. The dashed line is the seam; seam and hem allowances are in the paper already.',
    margin: 'cut line bold, seam line dashed',
    what: 'true size, with allowances',
  };
}
