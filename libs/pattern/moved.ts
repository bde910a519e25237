import type { Point } from '#geometry';
import type { PieceRole } from './piece.js';

/**
 * One thing an operation changed, with the amount. The list of them is the audit of a draft: what moved, by how
 * much, and through which step.
 */
export interface Moved {
  /** The operation in trade words, e.g. "redraw seam", "move point along". */
  readonly operation: string;
  readonly piece?: PieceRole;
  /** What it touched, in trade words: "fork", "inseam", "side waist". */
  readonly part: string;
  /** For a point: how far it went, never negative. For a length: after minus before. */
  readonly byMm: number;
  /** For a point: where it was and where it is, in the piece's frame. */
  readonly from?: Point;
  readonly to?: Point;
  /** For a length. */
  readonly beforeMm?: number;
  readonly afterMm?: number;
}
