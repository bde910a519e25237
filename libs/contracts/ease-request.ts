import { EASE_NAMES, type EaseName, type EaseOverrides } from '#fit';
import { either, field, fields, length, notOneOf, oneOf, wrongType } from './field.js';

/** A named ease, and what this garment has other than it, in mm. */
export interface EaseRequest {
  readonly name: EaseName;
  readonly overrides: EaseOverrides;
}

/** Slips of unit and digit stay out; whether an ease can be worn is for the fit findings. Design choices, in mm. */
const GIRTH_MM = { min: -300, max: 800 };
const RISE_MM = { min: -60, max: 200 };

const EASE_BY_MEASURE = fields({
  name: oneOf(EASE_NAMES).optional(),
  waist: length(GIRTH_MM).optional(),
  hip: length(GIRTH_MM).optional(),
  thigh: length(GIRTH_MM).optional(),
  knee: length(GIRTH_MM).optional(),
  hem: length(GIRTH_MM).optional(),
  depth: length(RISE_MM).optional(),
  frontRise: length(RISE_MM).optional(),
  backRise: length(RISE_MM).optional(),
}).transform(({ name = 'regular', ...sent }): EaseRequest => {
  const set = Object.entries(sent).filter(([, valueMm]) => valueMm !== undefined);
  return { name, overrides: Object.fromEntries(set) };
});

const EASE_BY_NAME = field({ oneOf: EASE_NAMES }, (found) => {
  const name = EASE_NAMES.find((candidate) => candidate === found);
  if (name !== undefined) return { value: { name, overrides: {} } };
  if (typeof found === 'string') return { fault: notOneOf(found, EASE_NAMES) };
  return { fault: wrongType(found, { form: `one of ${EASE_NAMES.join(', ')}, or an object of measures` }) };
});

/** `"regular"`, or `{ "name": "regular", "waist": 20 }`; without a name the rest is regular. */
export const EASE = either<EaseRequest>(
  (found) =>
    typeof found === 'object' && found !== null && !Array.isArray(found) ? EASE_BY_MEASURE : EASE_BY_NAME,
  [EASE_BY_NAME, EASE_BY_MEASURE],
);
