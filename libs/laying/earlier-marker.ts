import type { StartPlace } from '#marker';
import type { PlannedCloth } from './plan-laying.js';

/** A marker laid before, to begin the search from: of the same garments, fewer, or ones that differ a little. */
export interface EarlierMarker {
  readonly cloth: string;
  readonly places: readonly EarlierPlace[];
}

interface EarlierPlace {
  /** Reference of the garment. */
  readonly garment: string;
  /** Id of the cut piece. */
  readonly piece: string;
  readonly turn: number;
  readonly mirrored: boolean;
  readonly x: number;
  readonly y: number;
}

/** Read what `laidFile` wrote. Empty for any other JSON. */
export function readEarlierMarkers(json: unknown): readonly EarlierMarker[] {
  return listOf(json, 'markers').flatMap((marker): EarlierMarker[] => {
    const { cloth } = marker;
    if (typeof cloth !== 'string') return [];
    const references = new Map(
      listOf(marker, 'garments').map(({ number, reference }) => [number, reference]),
    );
    const places = listOf(marker, 'placements').flatMap((place): EarlierPlace[] => {
      const { piece, turn, mirrored, x, y } = place;
      const garment = references.get(place['garment']);
      const isWhole =
        typeof piece === 'string' &&
        typeof garment === 'string' &&
        typeof mirrored === 'boolean' &&
        [turn, x, y].every((value) => Number.isFinite(value));
      if (!isWhole) return [];
      // Pieces of a marker are called by the number of their garment and the id of the cut piece.
      return [{ garment, piece: piece.slice(piece.indexOf(' ') + 1), turn, mirrored, x, y } as EarlierPlace];
    });
    return [{ cloth, places }];
  });
}

/**
 * Where to begin a marker of some garments of a cloth: the earlier marker of that cloth that most of them were on.
 *
 * Shape  places in the ids of the cloth's request; undefined when none of the garments lay on it before.
 */
export function startPlaces(
  planned: PlannedCloth,
  garments: readonly number[],
  earlier: readonly EarlierMarker[],
): readonly StartPlace[] | undefined {
  const indexOf = new Map(garments.map((garment, i) => [planned.garments[garment].reference, i]));
  const best = earlier
    .filter(({ cloth }) => cloth === planned.cloth.name)
    .map(({ places }) => places.filter(({ garment }) => indexOf.has(garment)))
    .reduce<readonly EarlierPlace[]>((most, places) => (places.length > most.length ? places : most), []);
  if (best.length === 0) return undefined;
  return best.map(({ garment, piece, turn, mirrored, x, y }) => {
    const index = indexOf.get(garment) as number;
    return {
      piece: `${planned.ofOrder[garments[index]] + 1} ${piece}`,
      garment: index,
      turn,
      mirrored,
      x,
      y,
    };
  });
}

type Fields = Readonly<Record<string, unknown>>;

function listOf(json: unknown, name: string): readonly Fields[] {
  const list: unknown = isFields(json) ? json[name] : undefined;
  return Array.isArray(list) ? (list as unknown[]).filter(isFields) : [];
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
