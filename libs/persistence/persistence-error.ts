export type PersistenceErrorCode =
  | 'ALREADY_EXISTS'
  | 'REFERENCE_MISSING'
  | 'ROW_REFUSED'
  | 'CONFLICT'
  | 'UNAVAILABLE'
  | 'TOO_SLOW'
  | 'UNEXPECTED'
  | 'CURSOR_INVALID'
  | 'PAGE_SIZE_OUT_OF_RANGE'
  | 'MIGRATION_FAILED_BEFORE'
  | 'MIGRATION_EDITED'
  | 'MIGRATION_REFUSED';

/** Doing the same again may succeed without anybody changing anything. */
const RETRYABLE: ReadonlySet<PersistenceErrorCode> = new Set(['CONFLICT', 'UNAVAILABLE', 'TOO_SLOW']);

/** What whoever runs the service can do about it, where there is something. */
const WAYS_OUT: Partial<Readonly<Record<PersistenceErrorCode, string>>> = {
  UNAVAILABLE: 'The database does not answer. Check that it runs and that DATABASE_URL is right.',
};

/**
 * The database said no.
 *
 * The driver's own error is not its cause on purpose: that one carries the refused row, and with it body
 * measures, to wherever errors are logged. Codes and the names of constraints tell enough.
 */
export class PersistenceError extends Error {
  override readonly name = 'PersistenceError';

  constructor(
    readonly code: PersistenceErrorCode,
    readonly details: Readonly<Record<string, string | number>> = {},
  ) {
    const words = [code, ...Object.entries(details).map(([key, value]) => `${key}=${value}`)].join(' ');
    super(code in WAYS_OUT ? `${WAYS_OUT[code]} (${words})` : words);
  }

  get retryable(): boolean {
    return RETRYABLE.has(this.code);
  }
}
