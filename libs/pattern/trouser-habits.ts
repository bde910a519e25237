import type { Levels } from './piece.js';

/** The seams of a leg, which front and back are sewn together along. */
export type LegSeam = 'inseam' | 'outseam';

/** The notches that say which point of one leg seam is sewn to which of the other. Common practice, no source. */
export const BALANCE_NOTCHES = [
  { role: 'inseam', level: 'knee' },
  { role: 'outseam', level: 'knee' },
  { role: 'outseam', level: 'hip' },
] as const satisfies readonly { role: LegSeam; level: keyof Levels }[];

/** The fly of a front that has none drawn, and the height of the bend at its end for each width. Common practice, no source. */
export const USUAL_FLY = { lengthMm: 170, widthMm: 38, bendPerWidth: 1.1 } as const;
