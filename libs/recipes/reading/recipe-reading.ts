import type { Operation } from '#alterations';
import type { AmountParameter, GuardStep, OperationStep, Parameter, Recipe, Step } from '../recipe.js';
import { amountInWords, type ShopUnit } from './amount-words.js';
import { formulaInWords, nameInWords, type Wording } from './formula-words.js';

/** A recipe as a technician reads it. */
export interface RecipeReading {
  readonly title: string;
  readonly summary: string;
  /** What a block must have, as sentences. */
  readonly needs: readonly string[];
  readonly parameters: readonly ReadParameter[];
  readonly steps: readonly ReadStep[];
}

export interface ReadParameter {
  readonly name: string;
  /** "hem in: 19 mm (0 to 60 mm). Taken in at each inseam." */
  readonly text: string;
}

export interface ReadStep {
  /** From 1, in reading order. */
  readonly number: number;
  /** How many conditions it stands inside. */
  readonly depth: number;
  readonly text: string;
}

type Forms = ReadonlyMap<string, Pick<Operation, 'sentence'>>;

/**
 * A recipe as numbered steps in trade words, with the shop's numbers in it: what is published is what can be read.
 *
 * Shape     one line for each step, numbered as findings and problems number them; parameters with default and range.
 * Units     lengths in the recipe's own unit, inches as fractions where they are sixteenths.
 * Edges     for a recipe that was checked. An operation the catalogue does not have is named as it is.
 */
export function recipeReading(recipe: Recipe, operations: Forms): RecipeReading {
  const { title, summary, needs, parameters, steps, unit = 'mm' } = recipe;
  const amounts = new Map(parameters.map((parameter) => [parameter.name, usualInWords(parameter, unit)]));
  const reader = new StepReader(operations, { unit, amounts });
  return {
    title,
    summary,
    needs: (needs?.darts ?? []).map((piece) => `The ${piece} must have a dart.`),
    parameters: parameters.map((parameter) => ({
      name: parameter.name,
      text: parameterInWords(parameter, unit),
    })),
    steps: reader.steps(steps, 0),
  };
}

/** The reading as lines of text. */
export function readingText({ title, summary, needs, parameters, steps }: RecipeReading): string {
  const numbered = steps.map(({ number, depth, text }) => `${'   '.repeat(depth)}${number}. ${text}`);
  const lines = [
    title,
    summary,
    ...needs,
    ...(parameters.length === 0 ? [] : ['', 'Amounts', ...parameters.map(({ text }) => `- ${text}`)]),
    '',
    'Steps',
    ...numbered,
  ];
  return `${lines.join('\n')}\n`;
}

function parameterInWords(parameter: Parameter, unit: ShopUnit): string {
  const usual = usualInWords(parameter, unit);
  const name = nameInWords(parameter.name);
  if ('oneOf' in parameter) {
    const asIs =
      parameter.defaultAsIs === undefined ? '' : `; "${parameter.defaultAsIs}" on a block of your own`;
    return `${name}: ${usual} (one of ${parameter.oneOf.join(', ')}${asIs}). ${parameter.help}`;
  }
  return `${name}: ${usual} (${rangeInWords(parameter, unit)}). ${parameter.help}`;
}

function usualInWords(parameter: Parameter, unit: ShopUnit): string {
  if ('oneOf' in parameter) return `"${parameter.default}"`;
  const { default: usual, shareOf, shareWords = '' } = parameter;
  return shareOf === undefined ? sentInWords(parameter, usual, unit) : `${usual} ${shareWords}`.trimEnd();
}

function rangeInWords(parameter: AmountParameter, unit: ShopUnit): string {
  const { min, max, shareOf, lengthMax } = parameter;
  if (shareOf === undefined)
    return `${sentInWords(parameter, min, unit)} to ${sentInWords(parameter, max, unit)}`;
  const length =
    lengthMax === undefined ? '' : `, or a length up to ${amountInWords(lengthMax, 'length', unit)}`;
  return `${min} to ${max}${length}`;
}

// Parameters are written as they are sent: an angle in degrees.
function sentInWords({ quantity }: AmountParameter, sent: number, unit: ShopUnit): string {
  return amountInWords(quantity === 'angle' ? (sent * Math.PI) / 180 : sent, quantity, unit);
}

const REFUSALS: Readonly<Record<GuardStep['level'], string>> = {
  refuse: 'refuse',
  stop: 'stop the cutting',
  warning: 'warn',
  info: 'say',
};

class StepReader {
  private count = 0;

  constructor(
    private readonly operations: Forms,
    private readonly wording: Wording,
  ) {}

  steps(steps: readonly Step[], depth: number): ReadStep[] {
    return steps.flatMap((step) => {
      const number = ++this.count;
      const read = { number, depth, text: this.text(step) };
      return 'when' in step ? [read, ...this.steps(step.steps, depth + 1)] : [read];
    });
  }

  private text(step: Step): string {
    if ('do' in step) return this.operation(step);
    if ('let' in step) return `Let ${nameInWords(step.let)} be ${this.formula(step.is)}.`;
    if ('guard' in step) return this.guard(step);
    if ('report' in step) return `Report ${nameInWords(step.report)}: ${this.formula(step.value)}.`;
    return `Only where ${this.formula(step.when)}:`;
  }

  private operation({ do: name, with: args = {}, on, as }: OperationStep): string {
    const sentence = this.operations.get(name)?.sentence ?? name;
    const filled = sentence
      .replaceAll(/\[([^[\]]*)\]/g, (_, part: string) =>
        argumentsOf(part).every((arg) => arg in args) ? part : '',
      )
      .replaceAll(/\{(\w+)\}/g, (_, arg: string) =>
        this.argument(Object.hasOwn(args, arg) ? args[arg] : arg),
      );
    const where = on === undefined || on === 'both' ? '' : `, on the ${on} only`;
    const called = as === undefined ? '' : `; call it ${nameInWords(as)}`;
    return `${filled}${where}${called}.`;
  }

  // A name of a seam or a point is itself a formula of one name, so that all arguments read alike.
  private argument(text: string): string {
    return /^[a-z]+(-[a-z]+)+$/.test(text) ? text.replaceAll('-', ' ') : this.formula(text);
  }

  private guard({ guard, level, message, action }: GuardStep): string {
    if (guard.trim() === 'no')
      return `Always ${REFUSALS[level]}: ${this.sentence(message)} ${this.sentence(action)}`;
    return `Check that ${this.formula(guard)}; if not, ${REFUSALS[level]}: ${this.sentence(message)} ${this.sentence(action)}`;
  }

  private sentence(text: string): string {
    return text.replaceAll(/\{([^{}]*)\}/g, (_, inside: string) =>
      inside === 'allowed' ? '[the range that fits]' : `[${this.formula(inside)}]`,
    );
  }

  private formula(text: string): string {
    return formulaInWords(text, this.wording);
  }
}

function argumentsOf(part: string): string[] {
  return [...part.matchAll(/\{(\w+)\}/g)].map((match) => match[1]);
}
