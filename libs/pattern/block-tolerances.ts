import { OUTLINE_LIMITS, type OutlineLimits } from './inspect-outline.js';

export interface BlockTolerances {
  readonly outline: OutlineLimits;
  /** How far a hem or the front fork may lie off its level. */
  readonly levelMm: number;
  /** Seams that are sewn to each other may differ by this before the block has to be trued. */
  readonly seamPairMm: number;
  readonly dartLegMm: number;
}

/** Common practice, no source. */
export const BLOCK_TOLERANCES: BlockTolerances = {
  outline: OUTLINE_LIMITS,
  levelMm: 1,
  seamPairMm: 1,
  dartLegMm: 0.5,
};
