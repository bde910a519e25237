import type { Logger } from '#observability';
import type { Database, NewId } from '#persistence';
import type { Links } from './links.js';

/** What every service stands on. */
export interface Ground {
  readonly database: Database;
  readonly newId: NewId;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly links: Links;
  readonly logger: Logger;
}
