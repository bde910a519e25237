import { BUILT_IN_RECIPES, type Recipe } from '#recipes';

/** The alterations that come with the house, by name. */
export const HOUSE_ALTERATIONS: ReadonlyMap<string, Recipe> = new Map(
  BUILT_IN_RECIPES.map((recipe) => [recipe.name, recipe]),
);
