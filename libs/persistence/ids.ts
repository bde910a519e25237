/** What each kind of id begins with. */
export const ID_PREFIXES = {
  shop: 'shp',
  apiKey: 'key',
  body: 'bdy',
  block: 'blk',
  alteration: 'alt',
  draft: 'drf',
  draftToken: 'tok',
  export: 'exp',
  marker: 'mrk',
  check: 'chk',
  webhookEndpoint: 'whe',
  delivery: 'dlv',
  outboxMessage: 'out',
  auditEntry: 'aud',
} as const;

export type IdKind = keyof typeof ID_PREFIXES;

/** An id that knows what it is the id of: a body's cannot be given where a draft's is meant. */
export type Id<K extends IdKind> = string & { readonly __kind: K };

export type ShopId = Id<'shop'>;
export type ApiKeyId = Id<'apiKey'>;
export type BodyId = Id<'body'>;
export type BlockId = Id<'block'>;
export type AlterationId = Id<'alteration'>;
export type DraftId = Id<'draft'>;
export type DraftTokenId = Id<'draftToken'>;
export type ExportId = Id<'export'>;
export type MarkerId = Id<'marker'>;
export type CheckId = Id<'check'>;
export type WebhookEndpointId = Id<'webhookEndpoint'>;
export type DeliveryId = Id<'delivery'>;
export type OutboxMessageId = Id<'outboxMessage'>;
export type AuditEntryId = Id<'auditEntry'>;

export interface IdSource {
  /** Milliseconds since 1970. */
  readonly now: () => number;
  /** That many unpredictable bytes. */
  readonly randomBytes: (count: number) => Uint8Array;
}

export type NewId = <K extends IdKind>(kind: K) => Id<K>;

/** Crockford's base 32: no I, L, O or U, so that an id can be read out over a telephone. */
const ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

const TIME_DIGITS = 10;
const RANDOM_DIGITS = 16;

/** 80 random bits, as the digits above hold them. */
const RANDOM_BYTES = 10;
const RANDOM_LIMIT = 1n << 80n;

/**
 * Make ids that sort by when they were made: `drf_01J8...`, 26 digits after the prefix.
 *
 * Shape   48 bits of milliseconds, then 80 random bits. Within one millisecond, or when the clock steps back,
 *         the random part counts up from the last one, so ids of one source always increase.
 * Source  the ULID specification (ulid/spec), monotonic variant.
 */
export function createIds({ now, randomBytes }: IdSource): NewId {
  let lastMs = -1;
  let random = 0n;
  return (kind) => {
    const nowMs = Math.floor(now());
    random = nowMs > lastMs ? toInteger(randomBytes(RANDOM_BYTES)) : random + 1n;
    if (random >= RANDOM_LIMIT) {
      random = 0n;
      lastMs++; // the carry: still later than every id before
    }
    lastMs = Math.max(lastMs, nowMs);
    return `${ID_PREFIXES[kind]}_${digits(BigInt(lastMs), TIME_DIGITS)}${digits(random, RANDOM_DIGITS)}` as Id<
      typeof kind
    >;
  };
}

/** Whether `text` is an id of that kind. For the door: behind it, ids are what their type says. */
export function isId<K extends IdKind>(kind: K, text: string): text is Id<K> {
  return new RegExp(`^${ID_PREFIXES[kind]}_[0-7][${ALPHABET}]{25}$`).test(text);
}

function toInteger(bytes: Uint8Array): bigint {
  return bytes.reduce((sum, byte) => (sum << 8n) | BigInt(byte), 0n);
}

function digits(value: bigint, count: number): string {
  let text = '';
  for (let rest = value; text.length < count; rest >>= 5n) text = ALPHABET.charAt(Number(rest & 31n)) + text;
  return text;
}
