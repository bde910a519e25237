/** How a change of girth at one level is shared over the seams there: any numbers from 0; 0 leaves a seam alone. */
export interface FittingWeights {
  readonly waist: Readonly<
    Record<'frontSide' | 'backSide' | 'centreFront' | 'centreBack' | 'frontDarts' | 'backDarts', number>
  >;
  readonly hip: Readonly<Record<'frontSide' | 'backSide' | 'centreFront' | 'centreBack', number>>;
  readonly thigh: Readonly<Record<'frontFork' | 'backFork', number>>;
  readonly knee: Readonly<Record<LegSeamName, number>>;
  readonly hem: Readonly<Record<LegSeamName, number>>;
}
export type LegSeamName = 'frontInseam' | 'backInseam' | 'frontOutseam' | 'backOutseam';

/** How far an alteration may go before the block is said to be the wrong one for this body. */
export interface FittingLimits {
  /** One seam at one level, in mm. */
  readonly seamMm: number;
  /** Waist points up or down, in mm. */
  readonly riseMm: number;
  /** Fork lower or higher than ordered, in mm. */
  readonly depthMm: number;
  /** Widest intake of one dart, in mm. A wider one of the block itself may stay. */
  readonly dartMm: number;
  /** Seat or belly slashed at the hip line and spread or overlapped, in degrees. */
  readonly seatDeg: number;
}

/**
 * What a fit keeps where it cannot keep both. `line`: no curve changes its character by more than 15 % or bends a way it
 * did not, and measures yield. `measures`: every length is reached, and curves bend as far as that takes.
 */
export const KEEPS = ['line', 'measures'] as const;
export type Keep = (typeof KEEPS)[number];

export interface FittingSettings {
  readonly keep: Keep;
  readonly weights: FittingWeights;
  readonly limits: FittingLimits;
}

/**
 * What a shop does that says nothing else. Common practice, no source: at the waist darts and side seams first; at the
 * hip side and centre alike, which keeps the crease in the middle of the piece; two thirds of the thigh at the back
 * fork; knee and hem alike on all four seams, which keeps the crease straight. Who sends a block of their own wants its
 * line, so that is kept; who wants every measure to the millimetre can say so or have the block drafted from the body.
 */
export const FITTING_DEFAULTS: FittingSettings = {
  keep: 'line',
  weights: {
    waist: { frontSide: 2, backSide: 2, centreFront: 1, centreBack: 2, frontDarts: 2, backDarts: 3 },
    hip: { frontSide: 1, backSide: 1, centreFront: 1, centreBack: 1 },
    thigh: { frontFork: 1, backFork: 2 },
    knee: { frontInseam: 1, backInseam: 1, frontOutseam: 1, backOutseam: 1 },
    hem: { frontInseam: 1, backInseam: 1, frontOutseam: 1, backOutseam: 1 },
  },
  limits: { seamMm: 45, riseMm: 60, depthMm: 25, dartMm: 40, seatDeg: 8 },
};

/** Settings as a request sends them: whatever is left out is the default. */
export interface FittingSettingsSent {
  readonly keep?: Keep;
  readonly weights?: { readonly [Girth in keyof FittingWeights]?: Partial<FittingWeights[Girth]> };
  readonly limits?: Partial<FittingLimits>;
}

/** Settings with every default in its place. */
export function fittingSettings({ keep, weights = {}, limits = {} }: FittingSettingsSent): FittingSettings {
  const usual = FITTING_DEFAULTS;
  return {
    keep: keep ?? usual.keep,
    weights: {
      waist: { ...usual.weights.waist, ...weights.waist },
      hip: { ...usual.weights.hip, ...weights.hip },
      thigh: { ...usual.weights.thigh, ...weights.thigh },
      knee: { ...usual.weights.knee, ...weights.knee },
      hem: { ...usual.weights.hem, ...weights.hem },
    },
    limits: { ...usual.limits, ...limits },
  };
}
