import { compileRecipe, type CompiledRecipe } from '../compile-recipe.js';
import type { Recipe } from '../recipe.js';
import { DART_MOVED, DART_TO_EASE, FRONT_PLEATS } from './darts.js';
import { DROP_CROTCH } from './drop-crotch.js';
import { CUFF, TURN_UP } from './hem.js';
import { LEG_RECIPES } from './leg.js';
import { GUSSET, SEAT_LET_OUT, SEAT_TAKE_IN } from './seat.js';
import { HIGH_RISE, LOW_RISE, PULL_ON, WAIST_LET_OUT, WAIST_TAKE_IN } from './waist.js';

/** The recipes that come with the service. */
export const BUILT_IN_RECIPES: readonly Recipe[] = [
  DROP_CROTCH,
  ...LEG_RECIPES,
  CUFF,
  TURN_UP,
  PULL_ON,
  HIGH_RISE,
  LOW_RISE,
  GUSSET,
  FRONT_PLEATS,
  WAIST_LET_OUT,
  WAIST_TAKE_IN,
  SEAT_LET_OUT,
  SEAT_TAKE_IN,
  DART_MOVED,
  DART_TO_EASE,
];

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
