import { OUTLINE_LIMITS, SQUARE_REACH_MM, type OutlineLimits } from '#pattern';

/** What a truing report holds a pattern to. */
export interface TruingRules {
  /** Two plain seams that are sewn to each other may differ by this. */
  readonly seamPairMm: number;
  /** How much shorter than the front the back inseam is meant to be, to be stretched above the knee; 0 to 5. */
  readonly intendedStretchMm: number;
  readonly dartLegMm: number;
  /** The waist seam may be this much shorter than the band, and this much longer whatever the band's length. */
  readonly bandMm: number;
  /** Beyond that the seam may be longer by this share of the band, and is eased in. */
  readonly bandFullnessMax: number;
  /** For two corners that are sewn to a straight line. */
  readonly cornerSumDeg: number;
  /** For the waist at centre front and centre back, where the piece meets its own mirror image. */
  readonly squareDeg: number;
  /** The distance over which the centre waist has to be square. */
  readonly squareReachMm: number;
  readonly notchMm: number;
  /** How far the two ends of a balance line may lie apart once sewn: a warning beyond it. */
  readonly levelMm: number;
  /** A stop beyond this. */
  readonly levelStopMm: number;
  /** With a cloth repeat, a stop beyond this. */
  readonly repeatLevelMm: number;
  readonly cloth: 'plain' | 'repeat';
  /** Before finishing the hem has not been shaped, and its corners decide nothing. */
  readonly hem: 'before-finishing' | 'finished';
  readonly outline: OutlineLimits;
  /** Accuracy of every length in the report. */
  readonly lengthToleranceMm: number;
  readonly fixes: FixLimits;
}

/** How far a fix may go before a person is asked. */
export interface FixLimits {
  /** A waist end moved along its seam. */
  readonly waistEndMm: number;
  /** A hem end moved along the hem: a change of the hem width. */
  readonly hemEndMm: number;
  /** How far a curve may leave its old place when it is redrawn fuller, flatter or square. */
  readonly fullnessMm: number;
  /** Ease or stretch spread between two notches. */
  readonly easeMm: number;
  /** How far the seam at a corner may be turned. */
  readonly cornerTurnDeg: number;
}

/**
 * Tolerances of the trade: common practice, no source, as far as no line says otherwise.
 *
 * The sum of the two corners at the fork, and that a mismatch of 1.5 degrees is already seen, is in an article on
 * truing by a pattern maker; 2 degrees is what a presser takes out. `levelMm`, `squareReachMm` and the limits of the
 * fixes other than fullness and ease are our choices.
 */
export const TRADE_RULES: TruingRules = {
  seamPairMm: 1,
  intendedStretchMm: 0,
  dartLegMm: 0.5,
  bandMm: 1,
  bandFullnessMax: 0.03,
  cornerSumDeg: 2,
  squareDeg: 1,
  squareReachMm: SQUARE_REACH_MM,
  notchMm: 1,
  levelMm: 2,
  levelStopMm: 8,
  repeatLevelMm: 1,
  cloth: 'plain',
  hem: 'before-finishing',
  outline: OUTLINE_LIMITS,
  lengthToleranceMm: 0.001,
  fixes: { waistEndMm: 10, hemEndMm: 5, fullnessMm: 3, easeMm: 5, cornerTurnDeg: 20 },
};
