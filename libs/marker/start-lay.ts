import { emptyLay, type Lay } from './lay.js';
import type { MarkerPlan } from './plan-marker.js';
import type { StartPlace } from './request.js';

/** Places a search may begin at; where a piece has none its variant is one it may take and the place means nothing. */
export interface StartLay {
  readonly lay: Lay;
  readonly isPlaced: readonly boolean[];
}

/**
 * Put the places of an earlier marker on the grid of a plan.
 *
 * Each piece takes the first place left of its id, side and garment; a place that names no garment serves any. A turn that
 * is not allowed here, or that would lay a garment of one direction both ways, is replaced by one that is allowed. Places
 * of pieces the plan does not have are left out, and pieces may be left without a place: the earlier marker may have been
 * of fewer garments, of others, or of slightly different outlines.
 *
 * Shape   not yet free of overlap, nor inside, nor on the repeat: the search sees to that.
 */
export function startLay(plan: MarkerPlan, places: readonly StartPlace[]): StartLay {
  const { request, task, unitsPer, garmentOf } = plan;
  const waiting = new Map<string, StartPlace[]>();
  for (const place of places) {
    const key = keyOf(place.piece, place.mirrored, place.garment);
    waiting.set(key, [...(waiting.get(key) ?? []), place]);
  }
  const lay = { ...emptyLay(task.pieces.length), length: 0 };
  const directions = new Map<number, 0 | 1>();
  const isPlaced = task.pieces.map(({ variants, bundle }, i) => {
    const { shape, mirrored } = task.variants[variants[0]];
    const { id } = request.pieces[shape];
    const place =
      waiting.get(keyOf(id, mirrored, garmentOf[i]))?.shift() ??
      waiting.get(keyOf(id, mirrored, undefined))?.shift();
    const direction = bundle < 0 ? undefined : directions.get(bundle);
    const allowed = variants.filter(
      (v) => direction === undefined || task.variants[v].direction === direction,
    );
    const v = allowed.find((one) => task.variants[one].turn === place?.turn) ?? allowed[0];
    if (bundle >= 0) directions.set(bundle, task.variants[v].direction);
    lay.vs[i] = v;
    if (place === undefined) return false;
    lay.xs[i] = place.x * unitsPer;
    lay.ys[i] = place.y * unitsPer;
    lay.length = Math.max(lay.length, lay.xs[i] + task.reach[v]);
    return true;
  });
  return { lay, isPlaced };
}

function keyOf(piece: string | number, mirrored: boolean, garment: number | undefined): string {
  return JSON.stringify([piece, mirrored, garment ?? -1]);
}
