/** A corner of an outline; any unit, y up, as long as a request uses one unit throughout. Garments use millimetres. */
export type Corner = readonly [number, number];

/**
 * free: every piece may lie either way. per-garment: all pieces of a garment run one way, each garment its own.
 * one-way: all pieces run as drawn, their grain towards +x; a mirror image (x -> -x) therefore lies half turned.
 */
export type Nap = 'free' | 'per-garment' | 'one-way';

export interface Cloth {
  /** From edge to edge. */
  readonly width: number;
  /** Kept free along both edges. */
  readonly selvedge?: number;
  /** Kept free at both ends, and counted in the length. */
  readonly endMargin?: number;
  /** Least distance between two pieces; pieces never touch, whatever it is. */
  readonly gap?: number;
  readonly nap?: Nap;
  readonly layup?: 'single' | 'folded' | 'tubular';
  readonly lengthMax?: number;
  /** Distance after which stripes or checks repeat, along and across the cloth. */
  readonly repeatAlong?: number;
  readonly repeatAcross?: number;
  readonly pricePerMetre?: number;
  /** Cloth used up for this marker beyond its length: what is lost where it is laid and cut off. Costs, is not laid on. */
  readonly endAllowance?: number;
}

export interface MarkerPiece {
  readonly id: string | number;
  /** The cut line, closed implicitly, either direction. The grain is the x axis. */
  readonly outline: readonly Corner[];
  /** Allowed turns in degrees, counter-clockwise about the origin of the outline. */
  readonly turns: readonly number[];
  /** The grain may lean by this many degrees either way of each turn. */
  readonly tilt?: number;
  /** The point that must meet the repeat of the cloth. */
  readonly match?: Corner;
}

export interface GarmentPiece {
  readonly piece: string | number;
  /** How many as drawn, and how many as its mirror image (x -> -x): a pair is one of each. */
  readonly plain: number;
  readonly mirrored?: number;
}

export interface Garment {
  readonly reference: string;
  readonly pieces: readonly GarmentPiece[];
}

export interface MarkerRequest {
  readonly cloth: Cloth;
  readonly pieces: readonly MarkerPiece[];
  readonly garments: readonly Garment[];
}

/** One reason why a request cannot be laid. All reasons come at once. */
export interface MarkerProblem {
  readonly code: string;
  /** JSON pointer into the request. */
  readonly pointer: string;
  readonly found: string | number;
  readonly allowed: string;
  readonly action: string;
}

/** One piece on the cloth: mirrored if so marked, then turned, then moved by (x, y). The cloth is 0..length by 0..width. */
export interface Placement {
  readonly piece: string | number;
  /** Index into the request's garments. */
  readonly garment: number;
  readonly turn: number;
  readonly mirrored: boolean;
  readonly x: number;
  readonly y: number;
}

/** A place of an earlier marker to begin from; one that names no garment serves any. */
export type StartPlace = Omit<Placement, 'garment'> & { readonly garment?: number };
