export type PatternErrorCode = 'SEAM_MISSING' | 'LEVEL_MISSED' | 'EDGE_UNKNOWN' | 'OUTLINE_OPEN';

/** A step was asked of a piece that cannot take it; the caller should have checked. Never shown to a customer. */
export class PatternError extends Error {
  override readonly name = 'PatternError';

  constructor(
    readonly code: PatternErrorCode,
    readonly details: Readonly<Record<string, unknown>> = {},
  ) {
    super(`${code} ${JSON.stringify(details)}`);
  }
}
