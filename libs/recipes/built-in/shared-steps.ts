import type { GuardStep, Step } from '../recipe.js';

/* Steps and formulas that several recipes of waist, seat and leg have in common. */

export const CLOSE: Step = { do: 'close up' };

/** The outseams made equal again, at the back's side waist. */
export const OUTSEAMS: Step = { do: 'match seam', with: { seam: 'outseam', way: 'by-the-side-waist' } };

/** Half the garment's waist seam, now and before the recipe. */
export const SEAM = 'front.waist.length + back.waist.length';
export const SEAM_BEFORE = 'block.front.waist.length + block.back.waist.length';

/** Whether the foot was held against the hem, and how well; said of a closed hem only, where `closed` says when it is. */
export function footFindings(closed: string): Step[] {
  return [
    {
      guard: `not (${closed}) or body.heelKnown`,
      level: 'info',
      code: 'HEM_FOOT_NOT_CHECKED',
      message:
        'The girth round heel and instep is not known; whether the foot passes the hem was not checked.',
      action: 'Measure the girth round heel and instep, or give the hem an opening.',
      place: { part: 'hem' },
    },
    {
      guard: `not (${closed}) or not body.heelEstimated`,
      level: 'info',
      code: 'HEM_FOOT_ESTIMATED',
      message:
        'Nobody took the girth round heel and instep; whether the foot passes the hem was checked by an estimate.',
      action: 'Measure the girth round heel and instep before cutting, or give the hem an opening.',
      place: { part: 'hem' },
    },
  ];
}

/**
 * A hem that goes in by less than was asked, so that the foot passes. Up to the usual amount nobody has counted on the
 * whole of it: it is told. Beyond it somebody has asked for a narrow hem and does not get it: it is warned of.
 */
export function taperReduced(
  { asked, taken, usualMm }: { readonly asked: string; readonly taken: string; readonly usualMm: number },
  finding: Omit<GuardStep, 'guard' | 'level' | 'code' | 'of' | 'allowed' | 'place'>,
): Step[] {
  const said = {
    code: 'HEM_TAPER_REDUCED',
    ...finding,
    of: asked,
    allowed: { min: '0 mm', max: taken },
    place: { part: 'hem' },
  };
  return [
    { guard: `${taken} >= ${asked} or ${asked} > ${usualMm} mm`, level: 'info', ...said },
    { guard: `${taken} >= ${asked} or ${asked} <= ${usualMm} mm`, level: 'warning', ...said },
  ];
}
