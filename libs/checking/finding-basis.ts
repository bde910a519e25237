import { CHOICE, PRACTICE, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { FINDING_CODES } from './finding-codes.js';

/** Where a tolerance comes from: whoever said it, else the trade, else us. */
export function basisOf({ code, basis, tolerance }: Found, { origins = {} }: CheckSettings): string {
  if (tolerance == null || (basis !== PRACTICE && basis !== CHOICE)) return basis;
  const names = FINDING_CODES[code]?.tolerances ?? [];
  return names.map((name) => origins[name]).find((origin) => origin !== undefined) ?? basis;
}
