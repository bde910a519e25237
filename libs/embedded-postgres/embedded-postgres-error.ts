export type EmbeddedPostgresErrorCode =
  | 'DATABASE_URL_INVALID'
  | 'PROGRAMS_MISSING'
  | 'PROGRAMS_UNUSABLE'
  | 'NO_SERVER_USER'
  | 'DIRECTORY_UNUSABLE'
  | 'VERSION_MISMATCH'
  | 'CREATE_FAILED'
  | 'START_FAILED'
  | 'START_TIMEOUT'
  | 'LOCK_TIMEOUT'
  | 'STOP_TIMEOUT';

/** The server on this machine could not be created, started or stopped. The message says what to do. */
export class EmbeddedPostgresError extends Error {
  override readonly name = 'EmbeddedPostgresError';

  constructor(
    readonly code: EmbeddedPostgresErrorCode,
    message: string,
    options?: ErrorOptions,
  ) {
    super(`${code} ${message}`, options);
  }
}
