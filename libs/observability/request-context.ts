import { AsyncLocalStorage } from 'node:async_hooks';
import { pickedFields, type LogFields } from './log-fields.js';

const contexts = new AsyncLocalStorage<LogFields>();

/** Run with these fields on every log line written inside, however deep and however late. Nested calls add to them. */
export function withLogContext<T>(fields: LogFields, run: () => T): T {
  return contexts.run({ ...contexts.getStore(), ...pickedFields(fields) }, run);
}

export function logContext(): LogFields {
  return contexts.getStore() ?? {};
}

const REQUEST_ID = /^[A-Za-z0-9_-]{8,64}$/;

/** The caller's X-Request-Id when it is harmless, else a new one. */
export function requestIdFrom(header: string | readonly string[] | undefined, newId: () => string): string {
  return typeof header === 'string' && REQUEST_ID.test(header) ? header : newId();
}
