import type { ClothUse, CutPiece } from '#finishing';
import type { Nap } from '#marker';

/** One garment to be laid: the cut pieces of a draft, shrinkage and allowances already in them. */
export interface GarmentToLay {
  /** The order line or a pseudonym; it stands on the marker and must differ from the other garments'. */
  readonly reference: string;
  /** What the shop calls the size; the reference stands in its place when left out. */
  readonly size?: string;
  readonly pieces: readonly CutPiece[];
  /** Which cloth, by name, it is cut from for each use; may be left out where the order has one cloth for that use. */
  readonly cloths?: Readonly<Partial<Record<ClothUse, string>>>;
}

/** A length of cloth there is. Markers are taken off it one after the other until it is used up. */
export interface Roll {
  readonly name: string;
  readonly lengthMm: number;
}

/** One sort of cloth, and how pieces may lie on it. */
export interface ClothToCut {
  /** Unique in the order; garments name it. */
  readonly name: string;
  readonly use: ClothUse;
  readonly widthMm: number;
  readonly selvedgeMm?: number;
  readonly endMarginMm?: number;
  readonly gapMm?: number;
  readonly nap?: Nap;
  /** Only single cloth is laid; the others are refused with the reason. */
  readonly layup?: 'single' | 'folded' | 'tubular';
  /** Turns the grain allows, in degrees; 0 and 180 when left out. */
  readonly turnsDegrees?: readonly number[];
  /** How far the grain may lean, either way of each turn. */
  readonly tiltDegrees?: number;
  readonly repeatAlongMm?: number;
  readonly repeatAcrossMm?: number;
  /** The longest marker there is a table for; any length when left out. */
  readonly markerLengthMaxMm?: number;
  /** The rolls there are, used in this order; cloth without end when left out. */
  readonly rolls?: readonly Roll[];
  readonly pricePerMetre?: number;
  /** Cloth lost for every marker beyond its length. */
  readonly endAllowanceMm?: number;
  /** What the shop laid before on this cloth, to compare with. */
  readonly previous?: { readonly lengthMm: number; readonly garments: number };
}

/** What is to be laid: one or many garments on one or many cloths. */
export interface LayingOrder {
  readonly reference: string;
  readonly garments: readonly GarmentToLay[];
  readonly cloths: readonly ClothToCut[];
}
