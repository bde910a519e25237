import type { Wishes } from './equations.js';
import type { YieldGroup } from './parameters.js';

/** One row of the order of yielding: how soft the wishes are and what may leave the cutter's range. */
export interface YieldRow extends Wishes {
  readonly widened: readonly YieldGroup[];
  /** The hip line lies at least this share of the way from crotch to waist. */
  readonly hipFloorShare: number;
}

/** The hip line is never nearer the waist than this share. */
export const HIP_CEILING_SHARE = 0.6;

const DEPTH: readonly YieldGroup[] = ['depth'];
const CENTRE_FRONT: readonly YieldGroup[] = [...DEPTH, 'centre-front'];
const CENTRE_BACK: readonly YieldGroup[] = [...CENTRE_FRONT, 'centre-back'];
const SIDE: readonly YieldGroup[] = [...CENTRE_BACK, 'side'];
const ALL: readonly YieldGroup[] = [...SIDE, 'fork-and-seat'];

/**
 * The order in which a draft gives way: the landmark that splits the crotch length first, then the hip line, then
 * the crotch depth, the centre front height, the centre back height, the side, and last fork and seat angle.
 *
 * The first row that solves and passes every check of a cutter is taken; each starts from the ordinary block, so a
 * row's result does not depend on the rows before it.
 */
export const YIELD_ROWS: readonly YieldRow[] = [
  { splitDeviationMm: 6, fairness: 1, widened: ALL, hipFloorShare: Number(process.env['hf'] ?? 0.22) },
  { splitDeviationMm: 12, fairness: 1.5, widened: ALL, hipFloorShare: 0.24 },
  { splitDeviationMm: 12, fairness: 1.5, widened: ALL, hipFloorShare: 0.26 },
  { splitDeviationMm: 24, fairness: 2, widened: ALL, hipFloorShare: 0.26 },
  { splitDeviationMm: 40, fairness: 2, widened: DEPTH, hipFloorShare: 0.26 },
  { splitDeviationMm: 40, fairness: 2, widened: CENTRE_FRONT, hipFloorShare: 0.26 },
  { splitDeviationMm: 40, fairness: 2, widened: CENTRE_BACK, hipFloorShare: 0.26 },
  { splitDeviationMm: 40, fairness: 2, widened: SIDE, hipFloorShare: 0.26 },
  { splitDeviationMm: 40, fairness: 3, widened: ALL, hipFloorShare: 0.3 },
  { splitDeviationMm: 80, fairness: 5, widened: ALL, hipFloorShare: 0.3 },
];

/** From this row on the crotch length and the height of the waist do not belong to one body as measured. */
export const CONTRADICTION_ROW = 4;
