export type StorageErrorCode = 'HASH_INVALID' | 'RANGE_UNSATISFIABLE' | 'CONTENT_FAILED' | 'UNAVAILABLE';

/** The file store said no. `UNAVAILABLE` may pass by itself; the others are the caller's to mend. */
export class StorageError extends Error {
  override readonly name = 'StorageError';

  constructor(
    readonly code: StorageErrorCode,
    readonly details: Readonly<Record<string, string | number>> = {},
    options?: ErrorOptions,
  ) {
    super([code, ...Object.entries(details).map(([key, value]) => `${key}=${value}`)].join(' '), options);
  }

  get retryable(): boolean {
    return this.code === 'UNAVAILABLE';
  }
}
