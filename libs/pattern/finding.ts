import type { Point } from '#geometry';
import type { PieceRole } from './piece.js';

export type FindingLevel = 'info' | 'warning' | 'stop';

/**
 * One thing the service has to say about a pattern. A value, never thrown.
 *
 * A `stop` means "do not cut"; the draft is written all the same, so that a person can look at it.
 */
export interface Finding {
  readonly code: string;
  readonly level: FindingLevel;
  /** One sentence in trade words with the numbers in it. */
  readonly message: string;
  /** What to do about it, as an instruction. */
  readonly action: string;
  readonly place?: FindingPlace;
  /** JSON pointer into the request, when a field of it is the cause. */
  readonly pointer?: string;
  /** The numbers behind the message. Names end in their unit. Never a raw body measure. */
  readonly numbers?: Readonly<Record<string, number>>;
  /** What the field may be, when a field of the request is the cause. */
  readonly allowed?: { readonly min?: number; readonly max?: number; readonly unit: string };
}

const SERIOUSNESS: Readonly<Record<FindingLevel, number>> = { stop: 0, warning: 1, info: 2 };

/** Stops first, then warnings, then infos; within a level in the order given. */
export function bySeriousness<Found extends Pick<Finding, 'level'>>(findings: readonly Found[]): Found[] {
  return [...findings].sort((a, b) => SERIOUSNESS[a.level] - SERIOUSNESS[b.level]);
}

export interface FindingPlace {
  readonly piece?: PieceRole;
  /** A seam, corner or line by its trade name, e.g. "inseam", "fork", "waist". */
  readonly part?: string;
  /** Where on the piece the number is drawn, in the piece's frame. */
  readonly at?: Point;
}
