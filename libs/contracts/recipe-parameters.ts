import {
  BUILT_IN_RECIPES,
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
  either,
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

/** An alteration as it is understood: the recipe's name and every parameter with its value. */
export interface AlterationRequest {
  readonly use: string;
  readonly with: ParameterValues;
}

export const ALTERATION_NAMES: readonly string[] = BUILT_IN_RECIPES.map(({ name }) => name);

const BY_NAME: ReadonlyMap<string, Recipe> = new Map(BUILT_IN_RECIPES.map((recipe) => [recipe.name, recipe]));

/**
 * One alteration as it is sent, `{ use, with }`, its parameters held to what the recipe of that name declares.
 *
 * What the contract lets through is the recipe's range; what a pattern can take is narrower and depends on it, so it is
 * judged there, as findings.
 */
export function alterationField(): z.ZodType<SentAlteration> {
  const kinds = new Map(BUILT_IN_RECIPES.map((recipe) => [recipe.name, sentBy(recipe)]));
  // Of an alteration that nobody knows only the name can be judged.
  const unknown = fields({ use: oneOf(ALTERATION_NAMES) }).loose();
  return either<SentAlteration>((found) => kinds.get(nameIn(found)) ?? unknown, [...kinds.values()]);
}

export interface SentAlteration {
  readonly use: string;
  readonly with?: Readonly<Record<string, ParameterValue | undefined>> | undefined;
}

function nameIn(found: unknown): string {
  if (typeof found !== 'object' || found === null || !Object.hasOwn(found, 'use')) return '';
  const { use } = found as { readonly use: unknown };
  return typeof use === 'string' ? use : '';
}

function sentBy(recipe: Recipe): z.ZodType<SentAlteration> {
  const amounts = Object.fromEntries(
    recipe.parameters.map((parameter) => [
      parameter.name,
      said(fieldOf(parameter).optional(), parameter.help),
    ]),
  );
  const sent = fields({ use: oneOf([recipe.name]), with: fields(amounts).optional() });
  return said(sent, recipe.summary);
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
export function alterationRequest(
  { use, with: sent = {} }: SentAlteration,
  block: 'from-body' | 'as-is',
): AlterationRequest {
  const { parameters } = recipeOf(use);
  const values = parameters.map((parameter) => [
    parameter.name,
    sent[parameter.name] ?? presetOf(parameter, block),
  ]);
  return { use, with: Object.fromEntries(values) as ParameterValues };
}

function presetOf(parameter: Parameter, block: 'from-body' | 'as-is'): ParameterValue {
  const asIs = block === 'as-is' && 'oneOf' in parameter ? parameter.defaultAsIs : undefined;
  return asIs ?? defaultOf(parameter);
}

function recipeOf(use: string): Recipe {
  const recipe = BY_NAME.get(use);
  if (recipe === undefined) throw new Error(`the alteration ${use} came through the door`);
  return recipe;
}

/** An alteration as JSON of the contract, which reads back to the same. */
export function alterationJson({ use, with: values }: AlterationRequest): Json {
  const { parameters } = recipeOf(use);
  const sent = parameters.map(
    (parameter) => [parameter.name, sentValue(parameter, values[parameter.name])] as const,
  );
  return { use, with: Object.fromEntries(sent) };
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
