import type { GarmentToLay } from '#laying';
import { cutPattern } from './cut-patterns.js';
import { surveyBodies } from './survey-bodies.js';

/** Drop-crotch trousers of different bodies with all their small pieces, as many as asked. */
export function garmentsToLay(count: number): GarmentToLay[] {
  const bodies = surveyBodies();
  return Array.from({ length: count }, (_, i) => ({
    reference: `order ${1042 + i}`,
    size: String(36 + 2 * (i % 5)),
    pieces: cutPattern(bodies[i % bodies.length], 0.5).pieces,
  }));
}
