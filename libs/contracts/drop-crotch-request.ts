import { DROP_CROTCH_DEFAULTS, type Drop, type DropCrotchParameters } from '#alterations';
import { field, fields, length, oneOf, outOfRange, readLength, wrongType, type Read } from './field.js';
import { LENGTH_PATTERN } from './wire-form.js';

/**
 * What the contract lets through; what a pattern can take is narrower and depends on it, so it is judged there, as
 * findings. Outside these a number is a slip. Design choices.
 */
const DROP_MM = { min: 0, max: 800, unit: 'mm' };
const DROP_FRACTION = {
  min: 0,
  max: 1,
  unit: 'of the way from crotch line to knee line, or a length as text',
};
const RISE_EXTENSION_MM = { min: 0, max: 100 };
const HEM_IN_MM = { min: 0, max: 150 };
const CROP_MM = { min: -200, max: 600 };

const WAISTS = ['restore', 'leave'] as const;
const INSEAM_TRUINGS = ['copy-front', 'keep-back'] as const;
const HEM_OPENINGS = ['closed', 'open'] as const;

const DROP = field(DROP_FRACTION, readDrop, {
  anyOf: [
    { type: 'number', minimum: DROP_FRACTION.min, maximum: DROP_FRACTION.max },
    { type: 'string', pattern: LENGTH_PATTERN },
  ],
});

function readDrop(found: unknown): Read<Drop> {
  if (typeof found === 'string') {
    const read = readLength(found, DROP_MM);
    return 'fault' in read ? read : { value: { lengthMm: read.value } };
  }
  if (typeof found !== 'number') return { fault: wrongType(found, DROP_FRACTION) };
  if (found >= DROP_FRACTION.min && found <= DROP_FRACTION.max) return { value: { fraction: found + 0 } };
  const fault = outOfRange(found, found, { ...DROP_FRACTION, unit: '' });
  const action = `Send 0 to 1 for a fraction of the way to the knee; if a length was meant send it as text, like "20 cm".`;
  return { fault: { ...fault, allowed: DROP_FRACTION, action } };
}

/** Fields of `with`; those left out take the default amounts (common practice, no source). */
export const DROP_CROTCH = fields({
  drop: DROP.optional(),
  frontRiseExtension: length(RISE_EXTENSION_MM).optional(),
  backRiseExtension: length(RISE_EXTENSION_MM).optional(),
  hemIn: length(HEM_IN_MM).optional(),
  crop: length(CROP_MM).optional(),
  waist: oneOf(WAISTS).optional(),
  inseamTruing: oneOf(INSEAM_TRUINGS).optional(),
  hemOpening: oneOf(HEM_OPENINGS).optional(),
});

/** What a shop reads of the amounts: how far each may go and what it is when it is left out. */
export const DROP_CROTCH_PARAMETERS = [
  { name: 'drop', ...DROP_FRACTION, default: DROP_CROTCH_DEFAULTS.drop.fraction },
  lengthParameter('frontRiseExtension', RISE_EXTENSION_MM, DROP_CROTCH_DEFAULTS.frontRiseExtensionMm),
  lengthParameter('backRiseExtension', RISE_EXTENSION_MM, DROP_CROTCH_DEFAULTS.backRiseExtensionMm),
  lengthParameter('hemIn', HEM_IN_MM, DROP_CROTCH_DEFAULTS.hemInMm),
  lengthParameter('crop', CROP_MM, DROP_CROTCH_DEFAULTS.cropMm),
  { name: 'waist', oneOf: WAISTS },
  { name: 'inseamTruing', oneOf: INSEAM_TRUINGS, default: DROP_CROTCH_DEFAULTS.inseamTruing },
  { name: 'hemOpening', oneOf: HEM_OPENINGS, default: DROP_CROTCH_DEFAULTS.hemOpening },
] as const;

function lengthParameter(
  name: string,
  { min, max }: { readonly min: number; readonly max: number },
  preset: number,
) {
  return { name, min, max, unit: 'mm', default: preset };
}

type Sent = ReturnType<typeof DROP_CROTCH.parse>;

/**
 * The parameters with every default in its place.
 *
 * The waist is restored where the service drafted the block itself, and left as the method makes it where the block
 * is the shop's own and used as it stands.
 */
export function dropCrotchRequest(sent: Sent, block: 'from-body' | 'as-is'): DropCrotchParameters {
  const usual = DROP_CROTCH_DEFAULTS;
  return {
    drop: sent.drop ?? usual.drop,
    frontRiseExtensionMm: sent.frontRiseExtension ?? usual.frontRiseExtensionMm,
    backRiseExtensionMm: sent.backRiseExtension ?? usual.backRiseExtensionMm,
    hemInMm: sent.hemIn ?? usual.hemInMm,
    cropMm: sent.crop ?? usual.cropMm,
    waist: sent.waist ?? (block === 'from-body' ? 'restore' : 'leave'),
    inseamTruing: sent.inseamTruing ?? usual.inseamTruing,
    hemOpening: sent.hemOpening ?? usual.hemOpening,
  };
}
