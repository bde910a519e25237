import { BUILT_IN_RECIPES } from '#recipes';
import { toldParameter } from './recipe-parameters.js';
import type { AlterationAnswer } from './responses.js';

/** The alterations that come with the service, each with what its amounts may be. */
export const ALTERATION_CATALOGUE: readonly AlterationAnswer[] = BUILT_IN_RECIPES.map(
  ({ name, summary, parameters }) => ({ name, summary, parameters: parameters.map(toldParameter) }),
);
