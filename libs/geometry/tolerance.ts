import { GeometryError } from './geometry-error.js';

/**
 * The finest tolerance any length accepts: one nanometre.
 *
 * Finer than this, rounding in coordinates of a few metres is larger than the tolerance, halving a
 * curve never settles, and a depth of 24 means sixteen million pieces.
 */
export const TOLERANCE_MM_MIN = 1e-6;

export function requireTolerance(toleranceMm: number): void {
  if (!(toleranceMm >= TOLERANCE_MM_MIN)) throw new GeometryError('TOLERANCE_TOO_FINE', { toleranceMm });
}
