export type GeometryErrorCode =
  | 'NON_FINITE'
  | 'TOLERANCE_TOO_FINE'
  | 'LENGTH_OUT_OF_RANGE'
  | 'NO_DIRECTION'
  | 'PARALLEL_LINES'
  | 'RING_NOT_CLOSED'
  | 'WORK_LIMIT';

/** The caller is wrong: a value no pattern can hold. A pattern's own faults are findings, never this. */
export class GeometryError extends Error {
  override readonly name = 'GeometryError';

  constructor(
    readonly code: GeometryErrorCode,
    readonly details: Readonly<Record<string, unknown>> = {},
  ) {
    super(`${code} ${JSON.stringify(details)}`);
  }
}
