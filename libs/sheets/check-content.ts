import type { Curve, Point } from '#geometry';
import type { Finding } from '#pattern';
import type { CheckState } from './proof-content.js';

/** A pattern from outside as it was judged, ready to be drawn. */
export interface CheckContent {
  readonly reference: string;
  /** One line: sewable or not, and what was judged. */
  readonly verdict: string;
  readonly sewable: boolean;
  /** What the file said of itself, in one line: units, size, how many pieces. */
  readonly facts: string;
  readonly pieces: readonly CheckContentPiece[];
  readonly seams: readonly CheckContentSeam[];
  readonly corners: readonly {
    readonly name: string;
    readonly sumDeg: number;
    readonly targetDeg: number;
    readonly state: CheckState;
  }[];
  /** Balance lines by where they meet a seam, from the hem. */
  readonly lines: readonly {
    readonly name: string;
    readonly frontMm: number;
    readonly backMm: number;
    readonly state: CheckState;
  }[];
  readonly findings: readonly CheckContentFinding[];
  readonly engine: string;
}

export interface CheckContentPiece {
  readonly id: string;
  readonly name: string;
  /** What it was taken for, and how many are cut. */
  readonly detail: string;
  readonly cut: readonly Curve[];
  /** The seam line in parts, each in its state. */
  readonly seams: readonly { readonly curves: readonly Curve[]; readonly state: CheckState }[];
  readonly lines: readonly Curve[];
  readonly notches: readonly { readonly at: Point; readonly inwards: Point; readonly depthMm: number }[];
  readonly holes: readonly Point[];
  readonly grain: readonly [Point, Point] | undefined;
}

/** Two seams to be laid along each other, from the end they share. */
export interface CheckContentSeam {
  readonly name: string;
  readonly first: CheckContentSide;
  readonly second: CheckContentSide;
  /** How much longer the second may be. */
  readonly allowed: { readonly min: number; readonly max: number };
  readonly state: CheckState;
}

export interface CheckContentSide {
  readonly name: string;
  readonly lengthMm: number;
  /** Notches by their distance from the shared end. */
  readonly notchesMm: readonly number[];
}

export interface CheckContentFinding {
  readonly number: number;
  readonly finding: Finding;
  readonly piece?: string;
  readonly at?: Point;
}
