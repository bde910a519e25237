import type { Curve, Point } from '#geometry';
import type { Finding } from '#pattern';
import type { CheckState } from './proof-content.js';

/** A pattern from outside as it was judged, ready to be drawn. */
export interface CheckContent {
  readonly reference: string;
  /** One line: sewable or not, and what was judged. */
  readonly verdict: string;
  readonly sewable: boolean;
  readonly pieces: readonly CheckContentPiece[];
  readonly seams: readonly CheckContentSeam[];
  readonly corners: readonly {
    readonly name: string;
    readonly sumDeg: number;
    readonly targetDeg: number;
    readonly state: CheckState;
  }[];
  readonly findings: readonly CheckContentFinding[];
  readonly engine: string;
}

export interface CheckContentPiece {
  readonly id: string;
  readonly name: string;
  readonly cut: readonly Curve[];
  /** The seam line in parts, each in its state. */
  readonly seams: readonly { readonly curves: readonly Curve[]; readonly state: CheckState }[];
  readonly lines: readonly Curve[];
  readonly notches: readonly { readonly at: Point; readonly inwards: Point; readonly depthMm: number }[];
  readonly grain: readonly [Point, Point] | undefined;
}

/** Two seams to be laid along each other, from the end they share. */
export interface CheckContentSeam {
  readonly name: string;
  readonly first: CheckContentSide;
  readonly second: CheckContentSide;
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
