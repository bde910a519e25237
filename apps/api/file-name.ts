import { notFound } from './api-error.js';

/** As the database takes it; it could not even be asked for some other texts. */
const FILE_NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$/;

/** Errors  not-found. */
export function requireFileName(name: string): void {
  if (!FILE_NAME.test(name)) throw notFound('file');
}
