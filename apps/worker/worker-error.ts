/** The outside failed, or the worker is going down: the same again may succeed. */
export class OperationalError extends Error {
  override readonly name = 'OperationalError';
  readonly retryable = true;

  constructor(
    readonly code: string,
    options?: ErrorOptions,
  ) {
    super(code, options);
  }
}

/** We are wrong: not tried again. Its stack is that of what was thrown. */
export class UnexpectedError extends Error {
  override readonly name = 'UnexpectedError';
  readonly retryable = false;

  constructor(
    readonly code: string,
    cause: unknown,
  ) {
    super(code, { cause });
    if (cause instanceof Error && cause.stack !== undefined) this.stack = cause.stack;
  }
}

/** Errors of the libs say themselves whether they may pass; one that does not say so was foreseen by nobody. */
export function sorted(thrown: unknown): Error {
  if (thrown instanceof Error && 'retryable' in thrown) return thrown;
  return new UnexpectedError('UNFORESEEN', thrown);
}

export function mayPass(error: Error): boolean {
  return 'retryable' in error && error.retryable === true;
}
