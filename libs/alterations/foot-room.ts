import type { Finding } from '#pattern';
import type { Wearer } from './alteration-result.js';
import type { DropCrotchParameters } from './drop-crotch-parameters.js';
import { mm } from './outcome.js';

/** A closed hem must be wider than the girth round heel and instep by this; common practice, no source. */
const FOOT_ROOM_MM = 10;

/** Hems of both pieces before the taper. */
export interface HemWidths {
  readonly frontMm: number;
  readonly backMm: number;
  /** What the back loses beside the taper, because its inseam becomes the front's. */
  readonly backStepMm: number;
}

export interface HemTaper {
  /** How far the hem goes in at each inseam. */
  readonly inMm: number;
  readonly findings: readonly Finding[];
}

/**
 * How far the hem may go in and still let the foot through.
 *
 * Shape     the taper that was asked for, or less: the pair must measure the foot and its room, each piece gives half.
 *           With an open hem, or a foot that is not known, it is the taper that was asked for.
 * Edges     HEM_TAPER_REDUCED when it was reduced; HEM_TOO_NARROW_FOR_FOOT when no taper at all is still too narrow;
 *           HEM_FOOT_NOT_CHECKED when the foot is not known.
 */
export function taperForFoot(
  hem: HemWidths,
  { hemInMm, hemOpening }: DropCrotchParameters,
  { heelGirthMm, pointer }: Wearer,
): HemTaper {
  if (hemOpening === 'open') return { inMm: hemInMm, findings: [] };
  if (heelGirthMm === undefined) return { inMm: hemInMm, findings: [notChecked()] };
  const spareMm = hem.frontMm + hem.backMm - hem.backStepMm - (heelGirthMm + FOOT_ROOM_MM);
  if (spareMm >= 2 * hemInMm) return { inMm: hemInMm, findings: [] };
  const inMm = Math.min(hemInMm, Math.max(0, spareMm / 2));
  const hemMm = hem.frontMm + hem.backMm - hem.backStepMm - 2 * inMm;
  return {
    inMm,
    findings: [
      ...(inMm < hemInMm ? [reduced(hemInMm, inMm, hemMm, pointer)] : []),
      ...(spareMm < 0 ? [tooNarrow(hemMm, -spareMm, pointer)] : []),
    ],
  };
}

function reduced(askedMm: number, inMm: number, hemMm: number, pointer: string): Finding {
  return {
    code: 'HEM_TAPER_REDUCED',
    level: 'warning',
    message: `The hem goes in ${mm(inMm)} instead of ${mm(askedMm)} at each inseam, so that the foot passes; it measures ${mm(hemMm)}.`,
    action: 'For the full taper give the hem an opening, such as a vent, a zip or a rib.',
    place: { part: 'hem' },
    pointer: `${pointer}/hemIn`,
    numbers: { askedMm, inMm, hemMm },
    allowed: { min: 0, max: Math.floor(inMm * 10) / 10, unit: 'mm' },
  };
}

function tooNarrow(hemMm: number, shortMm: number, pointer: string): Finding {
  return {
    code: 'HEM_TOO_NARROW_FOR_FOOT',
    level: 'stop',
    message: `The hem of ${mm(hemMm)} is ${mm(shortMm)} too narrow for the foot even without a taper.`,
    action: `Give the hem an opening (vent, zip or placket), a rib or a cloth that stretches, or widen the block's hem by ${mm(shortMm)}.`,
    place: { part: 'hem' },
    pointer: `${pointer}/hemOpening`,
    numbers: { hemMm, shortMm },
  };
}

function notChecked(): Finding {
  return {
    code: 'HEM_FOOT_NOT_CHECKED',
    level: 'info',
    message: 'The girth round heel and instep is not known; whether the foot passes the hem was not checked.',
    action: 'Measure the girth round heel and instep, or give the hem an opening.',
    place: { part: 'hem' },
  };
}
