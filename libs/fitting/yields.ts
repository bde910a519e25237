import type { Equation } from './equations.js';

/** How a length gives way to the block's line. */
export interface Yield {
  /** Coming out under or over by this costs as much as an ordinary change, in mm. */
  readonly underMm: number;
  readonly overMm: number;
  /** Missed by more than this, it is no longer the line that is kept but the body that is not reached. */
  readonly mostMm: number;
}

/**
 * The order in which lengths yield: what costs least goes first and furthest.
 *
 * Hem and knee are style more than body, down to the least ease, which is a wall of its own; then the thigh, upwards; how
 * the crotch length divides and the depth as in every fit; hip, waist and rise last and by little; the leg's lengths
 * hardly, because the two sides of a seam have to meet. Common practice, no source, for the order; the sizes are design
 * choices.
 */
export const YIELDS: Readonly<Record<Equation, Yield>> = {
  hem: { underMm: 2, overMm: 2, mostMm: 80 },
  knee: { underMm: 1.5, overMm: 1.5, mostMm: 80 },
  thigh: { underMm: 0.3, overMm: 0.5, mostMm: 50 },
  hip: { underMm: 0.15, overMm: 0.15, mostMm: 20 },
  waist: { underMm: 0.15, overMm: 0.15, mostMm: 20 },
  totalRise: { underMm: 0.15, overMm: 0.15, mostMm: 20 },
  inseamFront: { underMm: 0.02, overMm: 0.02, mostMm: 2 },
  inseamBack: { underMm: 0.02, overMm: 0.02, mostMm: 2 },
  outseamFront: { underMm: 0.02, overMm: 0.02, mostMm: 2 },
  outseamBack: { underMm: 0.02, overMm: 0.02, mostMm: 2 },
};

/** A girth under body and least ease by this costs as much as an ordinary change. */
export const LEAST_DEVIATION_MM = 0.1;
