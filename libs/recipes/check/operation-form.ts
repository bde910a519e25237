import type { Operation } from '#alterations';
import type { Known, Standing } from './names.js';

/** What a recipe has to know of an operation to be checked. */
export type OperationForm = Pick<Operation, 'name' | 'scope' | 'arguments' | 'results'>;

export function standingOf(operation: OperationForm, on: string | undefined): Standing {
  // Points alone stand on no piece, unless the step says so.
  if (operation.scope === 'pair' || (operation.scope === 'points' && on === undefined)) return undefined;
  return on === 'front' || on === 'back' ? on : 'both';
}

/** The names that the results of a step are known by. */
export function resultNames(operation: OperationForm, standing: Standing, as: string): [string, Known][] {
  const results = Object.entries(operation.results);
  const pieces = standing === undefined ? [''] : standing === 'both' ? ['front.', 'back.'] : [`${standing}.`];
  return pieces.flatMap((piece) =>
    results.map(([name, kind]): [string, Known] => [
      results.length === 1 ? `${piece}${as}` : `${piece}${as}.${name}`,
      kind,
    ]),
  );
}
