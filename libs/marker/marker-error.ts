/** NOT_CERTIFIED: not even the layout by boxes passes the certificate; report it with the request. */
export type MarkerErrorCode = 'NOT_CERTIFIED';

/** A fault of the engine or of the program that calls it. What a request gets wrong is a MarkerProblem, never this. */
export class MarkerError extends Error {
  override readonly name = 'MarkerError';

  constructor(
    readonly code: MarkerErrorCode,
    readonly details: Readonly<Record<string, unknown>> = {},
  ) {
    super(`${code} ${JSON.stringify(details)}`);
  }
}
