import {
  certifyMarker,
  comparisonWith,
  type Marker,
  type MarkerComparison,
  type MarkerRequest,
  type RefusedLayout,
} from '#marker';
import type { LayingPlan, PlannedCloth } from './plan-laying.js';

/** One certified marker of an order. Plain data: it may be sent between threads and kept. */
export interface LaidMarker {
  /** Index into the plan's cloths. */
  readonly cloth: number;
  /** Index into the cloth's rolls; undefined for cloth without end. */
  readonly roll: number | undefined;
  /** Indices into the garments of the planned cloth, in the marker's own order. */
  readonly garments: readonly number[];
  readonly marker: Marker;
}

/** What a laying came to. */
export interface LaidOrder {
  readonly markers: readonly LaidMarker[];
  /** Garments that no roll had room for, by cloth and index into the garments of the planned cloth. */
  readonly left: readonly { readonly cloth: number; readonly garment: number }[];
  /** What remains of each roll after its markers and their end allowances. */
  readonly remnants: readonly { readonly cloth: number; readonly roll: number; readonly lengthMm: number }[];
  /** Layouts the certificate refused on the way: faults of the engine, for its makers. */
  readonly refused: readonly RefusedLayout[];
}

/** What one marker was laid from: for its drawing, its certificate and its figures. */
export function requestOf(plan: LayingPlan, laid: Pick<LaidMarker, 'cloth' | 'garments'>): MarkerRequest {
  return requestFor(plan.cloths[laid.cloth], laid.garments);
}

/** A request for some of the garments of a cloth. */
export function requestFor(
  planned: PlannedCloth,
  indices: readonly number[],
  lengthMax?: number,
): MarkerRequest {
  const garments = indices.map((i) => planned.garments[i]);
  const wanted = new Set(garments.flatMap(({ pieces }) => pieces.map(({ piece }) => piece)));
  return {
    cloth: { ...planned.onCloth, ...(lengthMax === undefined ? {} : { lengthMax }) },
    pieces: planned.pieces.filter(({ id }) => wanted.has(id)),
    garments,
  };
}

/** Whether every marker of a laying passes the certificate and each garment is on one of them or left over. */
export function isCertified(plan: LayingPlan, { markers, left }: LaidOrder): boolean {
  const isWhole = plan.cloths.every(({ garments }, c) => {
    const laid = markers.filter(({ cloth }) => cloth === c).flatMap((one) => one.garments);
    const all = [...laid, ...left.filter(({ cloth }) => cloth === c).map(({ garment }) => garment)];
    return all.length === garments.length && new Set(all).size === garments.length;
  });
  return isWhole && markers.every((laid) => certifyMarker(requestOf(plan, laid), laid.marker).length === 0);
}

/** Against what the shop laid before on this cloth; undefined when the order does not say. */
export function comparisonOf(plan: LayingPlan, laid: LaidMarker): MarkerComparison | undefined {
  const { previous } = plan.cloths[laid.cloth].cloth;
  if (previous === undefined) return undefined;
  const before = { length: previous.lengthMm, garments: previous.garments };
  return comparisonWith(before, requestOf(plan, laid), laid.marker.figures);
}

/** All cloth an order takes, for comparing two layings of it. */
export function clothAreaMm2(plan: LayingPlan, { markers }: LaidOrder): number {
  return markers.reduce(
    (sum, { cloth, marker }) => sum + plan.cloths[cloth].cloth.widthMm * marker.figures.clothLength,
    0,
  );
}

/**
 * The laying to keep of several chains: fewest garments left over, then least cloth, then the lowest chain.
 *
 * Chains that put the same garments on the same rolls are joined, each marker from the chain that laid it shortest. The
 * order in which threads report does not matter.
 */
export function bestLaid(plan: LayingPlan, chains: readonly LaidOrder[]): LaidOrder | undefined {
  const groups = new Map<string, LaidOrder[]>();
  for (const laid of chains) groups.set(allotmentOf(laid), [...(groups.get(allotmentOf(laid)) ?? []), laid]);
  const joined = [...groups.values()].map((group) => joinedOf(plan, group));
  return joined.reduce<LaidOrder | undefined>((best, laid) => {
    if (best === undefined) return laid;
    const difference =
      laid.left.length - best.left.length || clothAreaMm2(plan, laid) - clothAreaMm2(plan, best);
    return difference < 0 || (difference === 0 && chainOf(laid) < chainOf(best)) ? laid : best;
  }, undefined);
}

function chainOf({ markers }: LaidOrder): number {
  return markers[0]?.marker.chain ?? 0;
}

function allotmentOf({ markers }: LaidOrder): string {
  return JSON.stringify(markers.map(({ cloth, roll, garments }) => [cloth, roll ?? -1, garments]));
}

function joinedOf(plan: LayingPlan, group: readonly LaidOrder[]): LaidOrder {
  const markers = group[0].markers.map((first, i) =>
    group.reduce((best, { markers: others }) => {
      const [a, b] = [others[i].marker, best.marker];
      const difference = a.figures.length - b.figures.length || a.chain - b.chain;
      return difference < 0 ? others[i] : best;
    }, first),
  );
  return laidOf(
    plan,
    markers,
    group[0].left,
    group.flatMap(({ refused }) => refused),
  );
}

/** Put a laying together and count what is left of the rolls. */
export function laidOf(
  plan: LayingPlan,
  markers: readonly LaidMarker[],
  left: LaidOrder['left'],
  refused: readonly RefusedLayout[],
): LaidOrder {
  const remnants = plan.cloths.flatMap(({ cloth }, c) =>
    (cloth.rolls ?? []).map(({ lengthMm }, roll) => ({
      cloth: c,
      roll,
      lengthMm: markers
        .filter((laid) => laid.cloth === c && laid.roll === roll)
        .reduce((rest, { marker }) => rest - marker.figures.clothLength, lengthMm),
    })),
  );
  return { markers, left, remnants, refused };
}
