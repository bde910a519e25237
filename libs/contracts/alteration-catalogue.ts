import { ALTERATION_NAMES } from './draft-request.js';
import { DROP_CROTCH_PARAMETERS } from './drop-crotch-request.js';
import type { AlterationAnswer } from './responses.js';

const TEXTS: Readonly<Record<(typeof ALTERATION_NAMES)[number], Omit<AlterationAnswer, 'name'>>> = {
  'drop-crotch': {
    summary: 'Lowers the fork, lengthens both rises and redraws the inseams.',
    parameters: DROP_CROTCH_PARAMETERS.map((parameter) =>
      'oneOf' in parameter ? { ...parameter, oneOf: [...parameter.oneOf] } : parameter,
    ),
  },
};

/** The alterations that come with the service, each with what its amounts may be. */
export const ALTERATION_CATALOGUE: readonly AlterationAnswer[] = ALTERATION_NAMES.map((name) => ({
  name,
  ...TEXTS[name],
}));
