/** Widths of the seam allowances of a trouser, in mm. */
export interface Allowances {
  readonly inseamMm: number;
  readonly outseamMm: number;
  readonly waistMm: number;
  /** Depth of the turned-back hem. */
  readonly hemMm: number;
  /** Of both rises along the crotch curve, to the fork. */
  readonly forkMm: number;
  /** Of the front rise at the waist; it tapers to the fork's over the straight part. */
  readonly centreFrontMm: number;
  readonly centreBackMm: number;
  /** Round waistband, fly pieces and pockets. */
  readonly smallPiecesMm: number;
}

export type PressedOpenEnd = 'square' | 'flush' | 'mitre';

export interface FinishRules {
  readonly allowances: Allowances;
  readonly corners: {
    /** How the inseam's allowance ends at the fork. */
    readonly fork: PressedOpenEnd;
    /** How the outseam's ends at the waist. */
    readonly sideWaist: PressedOpenEnd;
    /** How the rise's ends at the waist. */
    readonly centreWaist: PressedOpenEnd;
    readonly hem: 'turned-back' | 'square' | 'mitre';
    /** A mitre longer than this many widths is bevelled. */
    readonly mitreLimit: number;
  };
  readonly notch: {
    /** `as-drawn` keeps the kind that each notch of the block has; notches set here are then slits. */
    readonly kind: 'slit' | 'v' | 'as-drawn';
    readonly depthMm: number;
  };
  readonly waist: {
    readonly finish: 'waistband' | 'elastic-casing' | 'none';
    /** Finished height of the band or casing. */
    readonly heightMm: number;
    /** How much longer than the waist the band is, to lie under the closing. */
    readonly underlapMm: number;
  };
  readonly fly: 'facing-and-shield' | 'none';
  readonly pockets: 'side-seam' | 'none';
  readonly accuracy: {
    /** How far the cut line's chords may lie off the line they stand for. */
    readonly cutLineMm: number;
    /** How far along the seam a notch may be off. */
    readonly seamMm: number;
  };
}

/**
 * Widths, corners, notches and pieces of an ordinary trouser: common practice, no source.
 *
 * A centre back of 35 mm at the waist is the inlay a made-to-measure shop lets out; the accuracies are our choices.
 */
export const FINISH_DEFAULTS: FinishRules = {
  allowances: {
    inseamMm: 10,
    outseamMm: 10,
    waistMm: 10,
    hemMm: 40,
    forkMm: 10,
    centreFrontMm: 10,
    centreBackMm: 35,
    smallPiecesMm: 10,
  },
  corners: {
    fork: 'flush',
    sideWaist: 'square',
    centreWaist: 'square',
    hem: 'turned-back',
    mitreLimit: 2,
  },
  notch: { kind: 'slit', depthMm: 4 },
  waist: { finish: 'waistband', heightMm: 35, underlapMm: 40 },
  fly: 'facing-and-shield',
  pockets: 'none',
  accuracy: { cutLineMm: 0.02, seamMm: 0.004 },
};

/** A notch may be as deep as this share of the allowance it is cut into; half would already weaken the seam. */
export const NOTCH_SHARE_MAX = 0.45;
