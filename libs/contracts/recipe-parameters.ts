import {
  defaultOf,
  type AmountParameter,
  type ChoiceParameter,
  type Parameter,
  type ParameterValue,
  type ParameterValues,
  type Recipe,
} from '#recipes';
import type { z } from 'zod';
import type { Json } from './canonical-json.js';
import {
  field,
  fields,
  length,
  number,
  oneOf,
  outOfRange,
  readLength,
  said,
  wrongType,
  type Read,
} from './field.js';
import { LENGTH_PATTERN } from './wire-form.js';

/** Whether a block was drafted by the service or is the shop's own and used as it stands. */
export type MadeFrom = 'from-body' | 'as-is';

/**
 * The amounts a recipe takes, as fields of `with`.
 *
 * What the contract lets through is the recipe's range; what a pattern can take is narrower and depends on it, so it is
 * judged there, as findings.
 */
export function amountsForm(recipe: Recipe) {
  const amounts = recipe.parameters.map(
    (parameter) => [parameter.name, said(fieldOf(parameter).optional(), parameter.help)] as const,
  );
  return fields(Object.fromEntries(amounts));
}

function fieldOf(parameter: Parameter): z.ZodType<ParameterValue> {
  if ('oneOf' in parameter) return oneOf(parameter.oneOf);
  const { min, max, quantity } = parameter;
  if (parameter.shareOf !== undefined) return shareOrLength(parameter);
  if (quantity === 'length') return length({ min, max });
  return number({ min, max, unit: quantity === 'angle' ? 'degrees' : '' });
}

/** A share as a number, a length as text: a number alone says which was meant. */
function shareOrLength(parameter: AmountParameter): z.ZodType<ParameterValue> {
  const { min, max } = parameter;
  const share = { min, max, unit: shareUnit(parameter) };
  const lengths = { min: 0, max: parameter.lengthMax ?? 0, unit: 'mm' };
  const read = (found: unknown): Read<ParameterValue> => {
    if (typeof found === 'string') return readLength(found, lengths);
    if (typeof found !== 'number') return { fault: wrongType(found, share) };
    if (found >= min && found <= max) return { value: { share: found + 0 } };
    const fault = outOfRange(found, found, { ...share, unit: '' });
    const action = `Send ${min} to ${max} for a share ${parameter.shareWords ?? ''}; if a length was meant send it as text, like "20 cm".`;
    return { fault: { ...fault, allowed: share, action } };
  };
  return field(share, read, {
    anyOf: [
      { type: 'number', minimum: min, maximum: max },
      { type: 'string', pattern: LENGTH_PATTERN },
    ],
  });
}

function shareUnit({ shareWords = '' }: AmountParameter): string {
  return `${shareWords}, or a length as text`;
}

/**
 * The parameters with every default in its place. A choice may have another default where the block is the shop's own
 * and used as it stands.
 */
export function completeAmounts(
  { parameters }: Recipe,
  sent: Readonly<Record<string, ParameterValue | undefined>>,
  madeFrom: MadeFrom,
): ParameterValues {
  const values = parameters.map((parameter) => [
    parameter.name,
    sent[parameter.name] ?? presetOf(parameter, madeFrom),
  ]);
  return Object.fromEntries(values) as ParameterValues;
}

function presetOf(parameter: Parameter, madeFrom: MadeFrom): ParameterValue {
  const asIs = madeFrom === 'as-is' && 'oneOf' in parameter ? parameter.defaultAsIs : undefined;
  return asIs ?? defaultOf(parameter);
}

/** Amounts as JSON of the contract, in the order of the recipe; they read back to the same. */
export function amountsJson({ parameters }: Recipe, amounts: ParameterValues): Json {
  return Object.fromEntries(
    parameters.map((parameter) => [parameter.name, sentValue(parameter, amounts[parameter.name])] as const),
  );
}

function sentValue(parameter: Parameter, value: ParameterValue): number | string {
  if (typeof value === 'object') return value.share;
  return 'shareOf' in parameter && typeof value === 'number' ? `${value} mm` : value;
}

/** What a shop reads of a parameter: how far it may go and what it is when it is left out. */
export function toldParameter(parameter: Parameter): {
  name: string;
  help: string;
  min?: number;
  max?: number;
  unit?: string;
  oneOf?: string[];
  default?: number | string;
} {
  return 'oneOf' in parameter ? toldChoice(parameter) : toldAmount(parameter);
}

function toldChoice({ name, help, oneOf: words, default: preset, defaultAsIs }: ChoiceParameter) {
  return { name, help, oneOf: [...words], ...(defaultAsIs === undefined ? { default: preset } : {}) };
}

const UNITS = { length: 'mm', angle: 'degrees', ratio: '' } as const;

function toldAmount(parameter: AmountParameter) {
  const { name, help, min, max, quantity, default: preset } = parameter;
  const unit = parameter.shareOf === undefined ? UNITS[quantity] : shareUnit(parameter);
  return { name, help, min, max, ...(unit === '' ? {} : { unit }), default: preset };
}
