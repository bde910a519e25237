import type { Curve, Point } from '#geometry';
import type { Finding, LineRole } from '#pattern';

/** A corner of a cut line; `turn` where the direction breaks, `curve` where the line goes on smoothly. */
export interface CutPoint {
  readonly at: Point;
  readonly kind: 'turn' | 'curve';
}

/** One run of the seam line with the allowance outside it. */
export interface SeamRun {
  /** Trade name of the seam: "inseam", "rise", "waist". */
  readonly seam: string;
  readonly curves: readonly Curve[];
  /** Width of the allowance by seam distance from the start of the run; straight between the stations. */
  readonly widths: readonly WidthStation[];
}

export interface WidthStation {
  readonly fromStartMm: number;
  readonly widthMm: number;
}

/** A notch as it is cut: from the cut line inwards. */
export interface CutNotch {
  readonly name: string;
  readonly seam: string;
  /** The point of the seam line that it marks. */
  readonly foot: Point;
  /** Where it begins, on the cut line. */
  readonly at: Point;
  /** Direction of the cut, of length 1. */
  readonly inwards: Point;
  readonly depthMm: number;
  /** Width at the cut line; 0 for a slit. */
  readonly widthMm: number;
}

export interface DrillHole {
  readonly name: string;
  readonly at: Point;
  readonly diameterMm: number;
}

/** A line inside a cut piece that is drawn and not cut. */
export interface CutPieceLine {
  readonly role: LineRole | 'fold' | 'dart' | 'placement';
  readonly curves: readonly Curve[];
}

export type ClothUse = 'shell' | 'fusible' | 'pocketing';

/**
 * A finished piece: the cut line outside, the seam line inside.
 *
 * Shape  millimetres in the piece's own frame, y up, grain as the arrow says. `cut` is closed and clockwise, its first
 *        point not repeated.
 */
export interface CutPiece {
  /** Unique in its pattern: lower-case letters, digits and hyphens. */
  readonly id: string;
  /** Trade name: "Front", "Waistband". */
  readonly name: string;
  readonly cut: readonly CutPoint[];
  readonly runs: readonly SeamRun[];
  /** Seam edges that have no allowance of their own: the legs of open darts. */
  readonly darts: readonly (readonly Curve[])[];
  readonly notches: readonly CutNotch[];
  readonly drillHoles: readonly DrillHole[];
  readonly lines: readonly CutPieceLine[];
  readonly grain: readonly [from: Point, to: Point];
  /** How many are cut as drawn, and how many mirrored. */
  readonly quantity: { readonly asDrawn: number; readonly mirrored: number };
  readonly cloth: readonly ClothUse[];
  /** What a cutter has to know of the side of the cloth, where it is not the same either way; printed on the piece. */
  readonly sideWords?: string;
}

/** A cut piece with what there was to say while it was made. */
export interface MadePiece {
  readonly piece: CutPiece;
  readonly findings: readonly Finding[];
}
