import type { Wishes } from './equations.js';

/** One attempt at a draft: how soft its wishes are, and where its hip line may lie. */
export interface YieldRow extends Wishes {
  /** The hip line lies at least this share of the way from crotch to waist. */
  readonly hipFloorShare: number;
}

/** How far the shop lets a draft go from the tape, in mm either way. Left out, as far as the block needs. */
export interface YieldLimits {
  /** Of the point that divides the crotch length into front and back. */
  readonly splitMm?: number;
  /** Of the depth ease. */
  readonly depthMm?: number;
}

export const NO_LIMITS: YieldLimits = {};

/** The hip line is never nearer the waist than this share. */
export const HIP_CEILING_SHARE = 0.6;

/**
 * The attempts at a draft, in their order. The first that solves and passes every check of a cutter is taken; each
 * starts from the ordinary block, so a row's result does not depend on the rows before it.
 *
 * Nearly every body is drafted by the first, in which everything yields that may yield, each at its own cost. The
 * others give up the landmark that splits the crotch length and raise the hip line; from one to the next a block jumps.
 */
export const YIELD_ROWS: readonly YieldRow[] = [
  { splitDeviationMm: 6, fairness: 1, hipFloorShare: 0.23 },
  { splitDeviationMm: 12, fairness: 1.5, hipFloorShare: 0.25 },
  { splitDeviationMm: 24, fairness: 2, hipFloorShare: 0.26 },
  { splitDeviationMm: 40, fairness: 3, hipFloorShare: 0.3 },
  { splitDeviationMm: 80, fairness: 5, hipFloorShare: 0.3 },
];

/** From this row on the crotch length and the height of the waist do not belong to one body as measured. */
export const CONTRADICTION_ROW = 3;
