import { inMm } from '#pattern';
import type { Parameter, Recipe } from './recipe.js';
import { defaultOf, type ParameterValue, type ParameterValues } from './run-recipe.js';

/**
 * An alteration with its amounts in one phrase, for sheets: "drop-crotch: drop 0.5 of the way …, hem in 19 mm".
 *
 * Shape  by the recipe's own `said`, where a part in square brackets is left out while all its amounts are at their
 *        default; else every parameter by its name.
 */
export function alterationInWords(recipe: Recipe, values: ParameterValues): string {
  const said = recipe.said ?? recipe.parameters.map(({ name }) => `${wordsOf(name)} {${name}}`).join(', ');
  const whole = said.replaceAll(/\[([^\]]*)\]/g, (_, part: string) =>
    namesIn(part).some((name) => isChanged(recipe, name, values)) ? part : '',
  );
  const filled = whole.replaceAll(/\{([A-Za-z0-9]+)\}/g, (_, name: string) => {
    const parameter = parameterOf(recipe, name);
    return parameter === undefined ? name : valueInWords(parameter, values[name] ?? defaultOf(parameter));
  });
  return filled === '' ? recipe.name : `${recipe.name}: ${filled}`;
}

function parameterOf({ parameters }: Recipe, name: string): Parameter | undefined {
  return parameters.find((parameter) => parameter.name === name);
}

function namesIn(part: string): string[] {
  return [...part.matchAll(/\{([A-Za-z0-9]+)\}/g)].map(([, name]) => name);
}

function isChanged(recipe: Recipe, name: string, values: ParameterValues): boolean {
  const parameter = parameterOf(recipe, name);
  const value = values[name];
  return (
    parameter !== undefined &&
    value !== undefined &&
    JSON.stringify(value) !== JSON.stringify(defaultOf(parameter))
  );
}

/** "frontRise" as two words. */
function wordsOf(name: string): string {
  return name.replaceAll(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
}

function valueInWords(parameter: Parameter, value: ParameterValue): string {
  if (typeof value === 'string') return value;
  if (typeof value === 'object') {
    const of =
      'shareWords' in parameter && parameter.shareWords !== undefined ? ` ${parameter.shareWords}` : '';
    return `${plain(value.share)}${of}`;
  }
  if (!('quantity' in parameter)) return plain(value);
  if (parameter.quantity === 'length') return inMm(value).replace('.0 mm', ' mm');
  return parameter.quantity === 'angle' ? `${plain(value)} degrees` : plain(value);
}

function plain(value: number): string {
  return String(Number(value.toFixed(3)));
}
