import type { IdKind } from '#persistence';
import { requireFound } from './require-id.js';

/** Highest version number that is looked for: what PostgreSQL's integer holds. */
const VERSION_MAX = 2_147_483_647;

/** A version from an address. A text that is no number names nothing. Errors  not-found. */
export function requireVersion(kind: IdKind, text: string): number {
  const version = /^[1-9]\d{0,9}$/.test(text) ? Number(text) : undefined;
  return requireFound(kind, version !== undefined && version <= VERSION_MAX ? version : undefined);
}
