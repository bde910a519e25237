import { builtInRecipe, compileRecipe, type CompiledRecipe, type Recipe } from '#recipes';
import type { AlterationOrder } from './draft-order.js';

// A table of bodies is altered by one recipe thousands of times.
const COMPILED = new WeakMap<Recipe, CompiledRecipe>();

/** The recipe of an order, ready to run. */
export function compiledRecipe({ use, recipe }: AlterationOrder): CompiledRecipe {
  const ready = recipe === undefined ? builtInRecipe(use) : COMPILED.get(recipe);
  if (ready !== undefined) return ready;
  if (recipe === undefined) throw new Error(`an order came through the door with the alteration ${use}`);
  const compiled = compileRecipe(recipe);
  COMPILED.set(recipe, compiled);
  return compiled;
}
