import { readFileSync } from 'node:fs';
import type { Recipe } from '#recipes';

/** The recipe that docs/writing-a-recipe.md writes. */
export const HOUSE_STYLE = JSON.parse(
  readFileSync(new URL('../../../examples/house-style.json', import.meta.url), 'utf8'),
) as Recipe;
