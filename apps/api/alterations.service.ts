import { ALTERATION_CATALOGUE, type AlterationAnswer } from '#contracts';
import { requireFound } from './require-id.js';

/** Tells what alterations there are. */
export class AlterationsService {
  all(): readonly AlterationAnswer[] {
    return ALTERATION_CATALOGUE;
  }

  /** Errors  not-found. */
  find(name: string): AlterationAnswer {
    return requireFound(
      'alteration',
      ALTERATION_CATALOGUE.find((alteration) => alteration.name === name),
    );
  }
}
