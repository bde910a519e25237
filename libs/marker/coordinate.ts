import type { Marker } from './engine.js';

/**
 * The marker to keep of several chains: the shortest, and of equals the one of the lowest chain number, so that the
 * order in which threads report does not matter.
 *
 * Chains are independent: one per thread, same plan and seed, `chain` 0, 1, ... Exchanging layouts between them was
 * measured to make both end on the same layout.
 */
export function bestOf(markers: readonly Marker[]): Marker | undefined {
  return markers.reduce<Marker | undefined>((best, marker) => {
    if (best === undefined) return marker;
    const difference = marker.figures.length - best.figures.length;
    return difference < 0 || (difference === 0 && marker.chain < best.chain) ? marker : best;
  }, undefined);
}
