import { MarkerEngine, type EngineOptions, type Marker } from './engine.js';
import { figuresOf } from './figures.js';
import { planMarker } from './plan-marker.js';
import type { MarkerRequest } from './request.js';

/** Which garments of an order fit on the cloth there is. */
export interface WholeGarments {
  /** The marker of the garments that fit; undefined when not even the first does. */
  readonly marker: Marker | undefined;
  readonly laid: readonly string[];
  readonly left: readonly string[];
}

/**
 * Leave out garments from the last one on until the rest fits within the cloth's lengthMax.
 *
 * Steps like the engine: each pause is about 5 ms of work. Every count of garments is tried for at most `work` moves,
 * and those whose lower bound is already too long not at all.
 */
export function* layWholeGarments(
  request: MarkerRequest,
  options: EngineOptions & { readonly work: number },
): Generator<void, WholeGarments> {
  const { garments, cloth } = request;
  for (let count = garments.length; count > 0; count--) {
    const answer = planMarker({ ...request, garments: garments.slice(0, count) });
    if (!answer.ok || figuresOf(answer.plan.request, 1).lowerBound > (cloth.lengthMax ?? Infinity)) continue;
    const engine = new MarkerEngine(answer.plan, options);
    for (let progress = engine.step(); progress.work < options.work; progress = engine.step()) {
      yield;
      if (progress.length <= (cloth.lengthMax ?? Infinity)) break;
    }
    const marker = engine.best();
    if (marker.fits) {
      const names = garments.map((garment) => garment.reference);
      return { marker, laid: names.slice(0, count), left: names.slice(count) };
    }
  }
  return { marker: undefined, laid: [], left: garments.map((garment) => garment.reference) };
}
