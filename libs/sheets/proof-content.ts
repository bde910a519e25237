import type { Finding, Levels, Moved, Piece } from '#pattern';

/**
 * Everything a proof sheet shows. The sheet lays it out and draws it; it computes no result of its own.
 *
 * Units  mm and degrees; lengths and differences signed as in truing.json.
 */
export interface ProofContent {
  readonly facts: ProofFacts;
  /** The block before the alteration; left out when nothing was altered. */
  readonly before?: DrawnPieces;
  readonly after: DrawnPieces;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
  /** True when no deciding check of the truing report is off. */
  readonly sewable: boolean;
  readonly seams: readonly SeamRow[];
  readonly corners: readonly CornerRow[];
  readonly measures: readonly MeasureRow[];
  /** Pieces that an alteration added beside front and back; may be empty. */
  readonly added: readonly AddedRow[];
  /** Whether the draft has files with the allowances; the sheet itself draws seam lines. */
  readonly allowances: 'none' | 'in-cut-files';
  /** What stands in for a try-on; may be empty. */
  readonly fit: readonly FitRow[];
  readonly estimates: readonly EstimateRow[];
  readonly provenance: Provenance;
}

export interface DrawnPieces {
  readonly front: Piece;
  readonly back: Piece;
  readonly levels: Levels;
}

export interface ProofFacts {
  /** The order's reference; never a name. */
  readonly reference: string;
  readonly blockName: string;
  /** The alterations in words with their numbers, one phrase each: "drop-crotch: drop 145.6 mm, hem in 19 mm". */
  readonly alterations: readonly string[];
}

export type CheckState = 'ok' | 'fixed' | 'off' | 'for-finishing' | 'not-checked';

export interface SeamRow {
  /** Trade name: "inseam", "front waist and band". */
  readonly seam: string;
  readonly firstMm: number;
  /** Absent where a seam is sewn to its own mirror image. */
  readonly secondMm?: number;
  readonly differenceMm?: number;
  /** Largest difference either way, or a range when stretching and easing have different limits. */
  readonly allowedMm?: number | { readonly fromMm: number; readonly toMm: number };
  readonly state: CheckState;
}

export interface CornerRow {
  /** Trade name: "fork", "side waist". */
  readonly at: string;
  readonly anglesDeg: readonly number[];
  readonly sumDeg: number;
  readonly targetDeg: number;
  readonly deviationDeg: number;
  readonly state: CheckState;
}

/** A piece of its own, by its seam lines. */
export interface AddedRow {
  readonly name: string;
  readonly shape: 'strip' | 'folded-strip' | 'diamond';
  /** Where it is sewn on: "waist", "hem", "fork". */
  readonly sewnTo: string;
  readonly lengthMm: number;
  /** As it is cut, before it is folded. */
  readonly widthMm: number;
  readonly count: number;
}

export interface MeasureRow {
  readonly name: string;
  readonly bodyMm?: number;
  readonly easeMm?: number;
  readonly targetMm?: number;
  readonly draftedMm: number;
  readonly differenceMm?: number;
}

/** How a figure of fit came out; the words are those of a traffic light, the sign is told by its shape. */
export type FitState = 'green' | 'amber' | 'red';

export interface FitRow {
  /** Trade name: "ease at hip", "longest step". */
  readonly name: string;
  readonly valueMm: number;
  /** What it has to be to be green. */
  readonly green: { readonly minMm?: number; readonly maxMm?: number };
  readonly state: FitState;
}

export interface EstimateRow {
  /** The measure nobody took. */
  readonly name: string;
  readonly valueMm: number;
  /** How far off it may be, one standard deviation. */
  readonly plusMinusMm?: number;
}

export interface Provenance {
  /** Engine name and version. */
  readonly engine: string;
  readonly requestHash: string;
  /** The only date a sheet carries, as the request gave it. */
  readonly dated?: string;
}
