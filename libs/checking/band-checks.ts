import { inMm, seamLengthMm, type Piece } from '#pattern';
import { bandEdges, bandLengthMm } from './band-edge.js';
import { layBand, MEETS_MM, type LaidBand, type LaidMark } from './band-laying.js';
import { CHOICE, PRACTICE, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import type { SeamOutline } from './seam-outline.js';

/** What the waistband says of the waist it is sewn to. */
export interface BandReading {
  /** Round the body, without underlap; undefined where there is no band. */
  readonly lengthMm: number | undefined;
  readonly underlapMm: number;
  /** Its notches meet the waist all the same: where its length is off, an end of it is. */
  readonly isOffAtEnd: boolean;
  readonly found: readonly Found[];
}

/** What a band without notches may be longer than the waist, to lie under the closing. */
const UNDERLAP_MM_MAX = 90;
const UNDERLAP_USUAL_MM = [20, 60] as const;

/**
 * The waistband read against the waist seams.
 *
 * Shape     with notches they decide (`layBand`): what is sewn to the waist, and what is underlap. Without them the length
 *           alone does: up to 90 mm more than the waist are taken for an underlap, and that is said.
 * Edges     an underlap below 20 or over 60 mm, or none, is told, and warned of where the trouser has a fly; not for a
 *           casing, which has none.
 * Source    20 to 60 mm: common practice, no source.
 */
export function readBand(
  strips: readonly SeamOutline[],
  front: Piece,
  back: Piece,
  hasFly: boolean,
  { truing }: CheckSettings,
): BandReading {
  if (strips.length === 0) return { lengthMm: undefined, underlapMm: 0, isOffAtEnd: false, found: [] };
  const [f, b] = [front, back].map((piece) => seamLengthMm(piece, 'waist', 0.01));
  const girthMm = 2 * (f + b);
  const isRing = strips.every(isCasing);
  const laid =
    layBand(bandEdges(strips), [f, b, b, f], isRing) ??
    laidByLength(bandLengthMm(strips), girthMm, isRing, truing.bandMm);
  const allowedMm = MEETS_MM + (truing.bandFullnessMax * girthMm) / 4;
  // More than can be eased in is no ease that was badly spread: that finding has the length, not the notches.
  const easedMm = girthMm - laid.lengthMm;
  const isEased = easedMm >= -truing.bandMm && easedMm <= truing.bandFullnessMax * laid.lengthMm;
  const offs = laid.marks.map(({ mark, offMm, evenOffMm }) => ({ mark, offMm: isEased ? evenOffMm : offMm }));
  return {
    lengthMm: laid.lengthMm,
    underlapMm: laid.underlapMm,
    isOffAtEnd:
      laid.marks.length > 1 &&
      laid.marks.every(({ offMm }) => Math.abs(offMm) <= MEETS_MM) &&
      laid.marks.some(({ evenOffMm }) => Math.abs(evenOffMm) > MEETS_MM),
    found: [
      ...notchDrifted(offs, allowedMm),
      ...(isRing || !isEased || easedMm <= truing.bandMm
        ? []
        : [waistEased(strips[0], easedMm, laid.lengthMm)]),
      ...(isRing ? [] : underlapFound(strips[0], laid, girthMm, hasFly)),
    ],
  };
}

/** By its name: it is drawn in by an elastic or a cord and closed to a ring. */
function isCasing({ piece }: SeamOutline): boolean {
  return /casing|elastic|tunnel|gummi/i.test(`${piece.name} ${piece.block}`);
}

function laidByLength(lengthMm: number, girthMm: number, isRing: boolean, bandMm: number): LaidBand {
  const overMm = lengthMm - girthMm;
  const underlapMm = isRing || overMm <= bandMm || overMm > UNDERLAP_MM_MAX ? 0 : overMm;
  return {
    lengthMm: underlapMm > 0 ? girthMm : lengthMm,
    underlapMm,
    underlapBy: 'rest',
    marks: [],
  };
}

/** Not wrong, but work: whoever sews it has to know that it is meant, and whoever drew it that it is there. */
function waistEased({ piece }: SeamOutline, easedMm: number, bandMm: number): Found {
  return {
    code: 'WAIST_EASED',
    level: 'info',
    message: `The waist seam is ${inMm(easedMm)} longer than the band (${((100 * easedMm) / bandMm).toFixed(1)} %), and has to be eased in.`,
    action: `Tell the sewer, or cut the band ${inMm(easedMm)} longer.`,
    place: { piece: piece.block },
    numbers: { easedMm },
    basis: PRACTICE,
  };
}

/** That a trouser was read without a band, and what its waist measures. */
export function noWaistband(girthMm: number, others: readonly SeamOutline[]): Found {
  const piece = others[0]?.piece.block ?? 'P3';
  return {
    code: 'NO_WAISTBAND',
    level: 'info',
    message: `No waistband was found: the waist seam (${inMm(girthMm)} whole) was not compared with one.`,
    action: `If the pattern has one, say in the settings which piece it is: "kinds": [{ "piece": "${piece}", "kind": "waistband" }].`,
    place: {},
    numbers: { waistMm: girthMm },
    basis: PRACTICE,
  };
}

function notchDrifted(marks: readonly Pick<LaidMark, 'mark' | 'offMm'>[], allowedMm: number): Found[] {
  if (marks.length === 0) return [];
  const { mark, offMm } = marks.reduce((worst, each) =>
    Math.abs(each.offMm) > Math.abs(worst.offMm) ? each : worst,
  );
  if (Math.abs(offMm) <= allowedMm) return [];
  return [
    {
      code: 'BAND_NOTCH_OFF',
      level: 'warning',
      message: `A notch of the waistband stands ${inMm(Math.abs(offMm))} beside the seam of the waist that it should meet.`,
      action: 'Set the notches of the band by the waist seams: centre, side, centre.',
      place: { piece: mark.piece, part: 'notch', at: mark.at },
      numbers: { differenceMm: offMm },
      tolerance: { value: allowedMm, unit: 'mm' },
      basis: CHOICE,
    },
  ];
}

function underlapFound(
  { piece }: SeamOutline,
  { underlapMm, underlapBy, lengthMm }: LaidBand,
  girthMm: number,
  hasFly: boolean,
): Found[] {
  const [leastMm, mostMm] = UNDERLAP_USUAL_MM;
  const isUsual = underlapMm >= leastMm - ROUNDED_MM && underlapMm <= mostMm + ROUNDED_MM;
  if (isUsual && underlapBy === 'notch') return [];
  const place = { piece: piece.block };
  const overMm = lengthMm + underlapMm - girthMm;
  if (isUsual)
    return [
      {
        code: 'BAND_UNDERLAP_TAKEN',
        level: 'info',
        message: `${piece.name} has no notch where its underlap begins; ${inMm(underlapMm)} of it were taken for that.`,
        action: 'Notch the band at centre front, sides and centre back to have it compared.',
        place,
        numbers: { overMm, underlapMm },
        basis: CHOICE,
      },
    ];
  const words =
    underlapMm < ROUNDED_MM
      ? `${piece.name} was taken to have no underlap`
      : `${inMm(underlapMm)} of ${piece.name} ${underlapBy === 'notch' ? 'are its underlap by its notches' : 'were taken for its underlap'}`;
  return [
    {
      code: 'BAND_UNDERLAP_UNUSUAL',
      level: hasFly ? 'warning' : 'info',
      message: `${words}: it is ${inMm(Math.abs(overMm))} ${overMm < 0 ? 'shorter' : 'longer'} than the waist; ${leastMm} to ${mostMm} mm of underlap are usual.`,
      action:
        'Look at the length of the band. One that closes edge to edge, or runs round as a ring, needs no underlap.',
      place,
      numbers: { overMm, underlapMm, leastMm, mostMm },
      basis: PRACTICE,
    },
  ];
}

/** Files say lengths to a hundredth of a millimetre, or to a thousandth of an inch. */
const ROUNDED_MM = 0.05;
