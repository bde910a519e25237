import { field, fields, length, oneOf, outOfRange, readLength, wrongType, type Read } from './field.js';

/** How far the fork goes down: a share of the way from crotch line to knee line, or a length. */
export type Drop = { readonly fraction: number } | { readonly lengthMm: number };

/** The parameters of the drop-crotch alteration, all of them. */
export interface DropCrotchRequest {
  readonly drop: Drop;
  readonly frontRiseExtensionMm: number;
  readonly backRiseExtensionMm: number;
  readonly hemInMm: number;
  /** Negative makes the leg longer. */
  readonly cropMm: number;
  readonly waist: 'restore' | 'leave';
  readonly inseamTruing: 'copy-front' | 'keep-back';
  readonly hemOpening: 'closed' | 'open';
}

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

const DROP = field(DROP_FRACTION, (found): Read<Drop> => {
  if (typeof found === 'string') {
    const read = readLength(found, DROP_MM);
    return 'fault' in read ? read : { value: { lengthMm: read.value } };
  }
  if (typeof found !== 'number') return { fault: wrongType(found, DROP_FRACTION) };
  if (found >= DROP_FRACTION.min && found <= DROP_FRACTION.max) return { value: { fraction: found + 0 } };
  const fault = outOfRange(found, found, { ...DROP_FRACTION, unit: '' });
  const action = `Send 0 to 1 for a fraction of the way to the knee; if a length was meant send it as text, like "20 cm".`;
  return { fault: { ...fault, allowed: DROP_FRACTION, action } };
});

/** Fields of `with`; those left out take the default amounts (common practice, no source). */
export const DROP_CROTCH = fields({
  drop: DROP.optional(),
  frontRiseExtension: length(RISE_EXTENSION_MM).optional(),
  backRiseExtension: length(RISE_EXTENSION_MM).optional(),
  hemIn: length(HEM_IN_MM).optional(),
  crop: length(CROP_MM).optional(),
  waist: oneOf(['restore', 'leave']).optional(),
  inseamTruing: oneOf(['copy-front', 'keep-back']).optional(),
  hemOpening: oneOf(['closed', 'open']).optional(),
});

type Sent = ReturnType<typeof DROP_CROTCH.parse>;

/**
 * The parameters with every default in its place.
 *
 * The waist is restored where the service drafted the block itself, and left as the method makes it where the block
 * is the shop's own and used as it stands.
 */
export function dropCrotchRequest(sent: Sent, block: 'from-body' | 'as-is'): DropCrotchRequest {
  return {
    drop: sent.drop ?? { fraction: 0.5 },
    frontRiseExtensionMm: sent.frontRiseExtension ?? 15,
    backRiseExtensionMm: sent.backRiseExtension ?? 10,
    hemInMm: sent.hemIn ?? 19,
    cropMm: sent.crop ?? 0,
    waist: sent.waist ?? (block === 'from-body' ? 'restore' : 'leave'),
    inseamTruing: sent.inseamTruing ?? 'copy-front',
    hemOpening: sent.hemOpening ?? 'closed',
  };
}
