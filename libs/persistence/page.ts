import { PersistenceError } from './persistence-error.js';

/** The largest page: a client that wants everything asks again, and no request holds much memory. */
export const PAGE_SIZE_MAX = 200;

export interface PageRequest {
  readonly size: number;
  /** `next` of the page before; opaque to whoever passes it on. */
  readonly cursor?: string | undefined;
}

/** Newest first. `next` is missing on the last page. */
export interface Page<T> {
  readonly items: readonly T[];
  readonly next?: string;
}

interface Cursor {
  readonly after: string;
}

/** What the database is asked: one row more than the page, to know whether there is a next one. */

export interface Window {
  readonly take: number;
  readonly orderBy: { readonly id: 'desc' };
  readonly after: { readonly id?: { readonly lt: string } };
}

/**
 * Rows after a cursor, by id. New rows come in front and do not shift the pages behind.
 *
 * Errors  PersistenceError PAGE_SIZE_OUT_OF_RANGE, CURSOR_INVALID.
 */
export function windowOf({ size, cursor }: PageRequest): Window {
  if (!Number.isInteger(size) || size < 1 || size > PAGE_SIZE_MAX) {
    throw new PersistenceError('PAGE_SIZE_OUT_OF_RANGE', { found: size, min: 1, max: PAGE_SIZE_MAX });
  }
  const after = cursor === undefined ? {} : { id: { lt: readCursor(cursor).after } };
  return { take: size + 1, orderBy: { id: 'desc' }, after };
}

export function pageOf<R extends { readonly id: string }, T>(
  found: readonly R[],
  { size }: PageRequest,
  read: (row: R) => T,
): Page<T> {
  const shown = found.slice(0, size);
  const last = shown.at(-1);
  const items = shown.map(read);
  return found.length > size && last !== undefined
    ? { items, next: writeCursor({ after: last.id }) }
    : { items };
}

function writeCursor(cursor: Cursor): string {
  return Buffer.from(JSON.stringify(cursor)).toString('base64url');
}

function readCursor(text: string): Cursor {
  try {
    const { after } = JSON.parse(Buffer.from(text, 'base64url').toString()) as Partial<Cursor>;
    if (typeof after === 'string' && /^[a-z]{3}_[0-9A-Z]{26}$/.test(after)) return { after };
  } catch {
    // Not JSON: said below, as for every other text that is no cursor.
  }
  throw new PersistenceError('CURSOR_INVALID');
}
