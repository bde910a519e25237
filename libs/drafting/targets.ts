/** The body measures a trouser block is drafted from, in mm. Names as in ISO 8559-1 where it has one. */
export interface DraftingMeasures {
  readonly waistGirth: number;
  readonly hipGirth: number;
  readonly thighGirth: number;
  readonly kneeGirth: number;
  readonly calfGirth: number;
  readonly heelGirth: number;
  readonly totalCrotchLength: number;
  readonly backCrotchLength: number;
  readonly waistHeight: number;
  readonly hipHeight: number;
  readonly insideLegLength: number;
  readonly kneeHeight: number;
  readonly outsideLegLength: number;
}

/** What the garment has more than the body, in mm, and the few style facts of a plain block. */
export interface Ease {
  readonly waistMm: number;
  readonly hipMm: number;
  readonly thighMm: number;
  readonly kneeMm: number;
  /** The hem is at least the heel girth and this. */
  readonly heelMm: number;
  /** The hem is at least this share of the drafted knee girth. */
  readonly hemShareOfKnee: number;
  readonly frontRiseMm: number;
  readonly backRiseMm: number;
  /** How far the fork hangs below the crotch. Depends on how the inside leg was taken. */
  readonly depthMm: number;
  readonly hemAboveFloorMm: number;
  /** The back inseam is cut this much shorter than the front and stretched on. */
  readonly backInseamStretchMm: number;
}

/** Every length the draft must reach, in mm, before anything yields. */
export interface Targets {
  readonly bodyHipMm: number;
  readonly waistMm: number;
  readonly hipMm: number;
  readonly thighMm: number;
  readonly kneeMm: number;
  readonly hemMm: number;
  readonly frontRiseMm: number;
  readonly backRiseMm: number;
  readonly inseamMm: number;
  readonly outseamMm: number;
  readonly backInseamStretchMm: number;
  readonly waistLevelMm: number;
  /** Where the body's hip is; the draft's hip line may have to move. */
  readonly bodyHipLevelMm: number;
  /** Crotch level at the ordered depth ease. */
  readonly crotchLevelMm: number;
  readonly kneeLevelMm: number;
  readonly hemLevelMm: number;
  readonly depthMm: number;
}

/** A quarter of the girth is split so that the back has the more by twice this; common practice, no source. */
export const FRONT_BACK_SPLIT_MM = 10;

/**
 * The garment measures of a body with its ease.
 *
 * Units    mm throughout, floor at 0.
 * Source   hip, knee and hem split, hem rule: common practice, no source. The leg must pass the calf, so the
 *          knee girth is the larger of knee and calf.
 */
export function targetsFor(body: DraftingMeasures, ease: Ease): Targets {
  const kneeMm = Math.max(body.kneeGirth, body.calfGirth) + ease.kneeMm;
  return {
    bodyHipMm: body.hipGirth,
    waistMm: body.waistGirth + ease.waistMm,
    hipMm: body.hipGirth + ease.hipMm,
    thighMm: body.thighGirth + ease.thighMm,
    kneeMm,
    hemMm: Math.max(body.heelGirth + ease.heelMm, ease.hemShareOfKnee * kneeMm),
    frontRiseMm: body.totalCrotchLength - body.backCrotchLength + ease.frontRiseMm,
    backRiseMm: body.backCrotchLength + ease.backRiseMm,
    inseamMm: body.insideLegLength - ease.depthMm - ease.hemAboveFloorMm,
    outseamMm: body.outsideLegLength - ease.hemAboveFloorMm,
    backInseamStretchMm: ease.backInseamStretchMm,
    waistLevelMm: body.waistHeight,
    bodyHipLevelMm: body.hipHeight,
    crotchLevelMm: body.insideLegLength - ease.depthMm,
    kneeLevelMm: body.kneeHeight,
    hemLevelMm: ease.hemAboveFloorMm,
    depthMm: ease.depthMm,
  };
}

/** Width of one hip panel, front or back, from the crease side of the centre line to the side seam. */
export function panelMm(girthMm: number, piece: 'front' | 'back'): number {
  return girthMm / 4 + (piece === 'front' ? -FRONT_BACK_SPLIT_MM : FRONT_BACK_SPLIT_MM);
}

/** Width of one piece at a level where a leg's girth is split over front and back. */
export function legWidthMm(girthMm: number, piece: 'front' | 'back'): number {
  return girthMm / 2 + (piece === 'front' ? -FRONT_BACK_SPLIT_MM : FRONT_BACK_SPLIT_MM);
}
