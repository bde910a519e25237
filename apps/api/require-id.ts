import { isId, type Id, type IdKind } from '#persistence';
import { notFound } from './api-error.js';

const WORDS: Readonly<Record<IdKind, string>> = {
  shop: 'shop',
  apiKey: 'API key',
  body: 'body',
  block: 'block',
  alteration: 'alteration',
  draft: 'draft',
  draftToken: 'token',
  export: 'export',
  marker: 'marker',
  check: 'check',
  webhookEndpoint: 'webhook endpoint',
  delivery: 'delivery',
  outboxMessage: 'message',
  auditEntry: 'entry',
};

/** An id from an address. A text that is no id names nothing, like one of another shop: both are answered alike. */
export function requireId<K extends IdKind>(kind: K, text: string): Id<K> {
  if (!isId(kind, text)) throw notFound(WORDS[kind]);
  return text;
}

export function requireFound<T>(kind: IdKind, found: T | undefined): T {
  if (found === undefined) throw notFound(WORDS[kind]);
  return found;
}
