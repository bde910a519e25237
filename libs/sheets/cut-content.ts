import type { CutPiece } from '#finishing';
import type { ChosenLayer } from './cut-piece-drawing.js';
import type { Provenance } from './proof-content.js';

/** What the sheets of cut pieces show. */
export interface CutContent {
  /** The order's reference or the body's; never a name. */
  readonly reference: string;
  readonly pieces: readonly CutPiece[];
  /** What the cloth is called on the labels; "cloth" when the order does not say. */
  readonly clothName?: string;
  /** Shrinkage that the pieces are grown for, in percent. */
  readonly shrinkagePercent?: { readonly warp: number; readonly weft: number };
  /** Which layers of the pieces are drawn; all of them when left out. */
  readonly layers?: readonly ChosenLayer[];
  readonly provenance: Provenance;
}
