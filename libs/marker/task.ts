import type { Box, Ring } from './ring.js';

/** One outline in one allowed position on the cloth: mirrored or not, turned, on the grid about the piece's own origin. */
export interface Variant {
  readonly shape: number;
  readonly turn: number;
  readonly mirrored: boolean;
  readonly ring: Ring;
  readonly box: Box;
  /** 0 when the pile runs as drawn, 1 when it runs the other way. */
  readonly direction: 0 | 1;
  /** The point that must meet the cloth's repeat, from the origin; undefined when the piece is not matched. */
  readonly match?: { readonly x: number; readonly y: number };
}

export interface TaskPiece {
  readonly variants: readonly number[];
  /** Index of the garment whose pieces must all run one way, or -1. */
  readonly bundle: number;
}

/** What the search sees of a marker: whole numbers only. */
export interface Task {
  readonly variants: readonly Variant[];
  readonly pieces: readonly TaskPiece[];
  /** Lowest and highest allowed y of an origin, per variant: exact, from the outline before rounding. */
  readonly yMin: Float64Array;
  readonly yMax: Float64Array;
  /** Lowest allowed x of an origin, and how far the outline reaches right of it, per variant. */
  readonly xMin: Float64Array;
  readonly reach: Float64Array;
  /** Required distance between outlines, guard included. */
  readonly gap: number;
  /** What of `gap` the request did not ask for. */
  readonly guard: number;
  readonly height: number;
  /** Cloth repeat along and across, 0 for none, and the phase matched points sit at. */
  readonly repeatX: number;
  readonly repeatY: number;
  readonly phaseX: number;
  readonly phaseY: number;
}
