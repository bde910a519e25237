import type { Body } from '#measurements';

/** The invented body of the worked example: round numbers, no person. */
export const WORKED_BODY: Body = {
  ref: 'body-1042',
  sex: 'female',
  insideLegTaken: 'taped',
  measures: {
    waistGirth: 740,
    hipGirth: 1000,
    thighGirth: 585,
    kneeGirth: 370,
    calfGirth: 360,
    heelGirth: 310,
    totalCrotchLength: 720,
    backCrotchLength: 410,
    waistHeight: 1040,
    hipHeight: 835,
    insideLegLength: 765,
    kneeHeight: 455,
    hipBreadth: 345,
    waistBreadth: 245,
    trochanterHeight: 840,
    stature: 1660,
  },
};
