import { compileRecipe, type CompiledRecipe } from '../compile-recipe.js';
import type { Recipe } from '../recipe.js';
import { DROP_CROTCH } from './drop-crotch.js';
import { LEG_RECIPES } from './leg.js';
import { WAIST_RECIPES } from './waist.js';

/** The recipes that come with the service. */
export const BUILT_IN_RECIPES: readonly Recipe[] = [DROP_CROTCH, ...LEG_RECIPES, ...WAIST_RECIPES];

const BY_NAME: ReadonlyMap<string, Recipe> = new Map(BUILT_IN_RECIPES.map((recipe) => [recipe.name, recipe]));

// Each is made ready when it is first asked for, and once: a process that draws drop-crotches reads no other recipe.
const COMPILED = new Map<string, CompiledRecipe>();

/** A recipe that comes with the service, ready to run; undefined for a name that none has. */
export function builtInRecipe(name: string): CompiledRecipe | undefined {
  const ready = COMPILED.get(name);
  const recipe = BY_NAME.get(name);
  if (ready !== undefined || recipe === undefined) return ready;
  const compiled = compileRecipe(recipe);
  COMPILED.set(name, compiled);
  return compiled;
}
