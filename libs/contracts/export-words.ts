/** What a pattern can be printed on afterwards; `a4-letter` is one file for both. */
export const EXPORT_PAPERS = [
  'a4',
  'letter',
  'a4-letter',
  'a3',
  'tabloid',
  'a0',
  'roll-610',
  'roll-914',
  'roll-1067',
] as const;

/** Test square, page names and the words that say what a print is are always on it. */
export const EXPORT_LAYERS = [
  'balance-lines',
  'stitch-lines',
  'seam-line',
  'cut-line',
  'notches',
  'drill-holes',
  'grain',
  'labels',
] as const;
