export type MeasurementErrorCode = 'NEEDED_MEASURE_MISSING';

/** The caller is wrong: it did not check the body first. Carries names, never values: measures are personal. */
export class MeasurementError extends Error {
  override readonly name = 'MeasurementError';

  constructor(
    readonly code: MeasurementErrorCode,
    readonly details: Readonly<Record<string, unknown>> = {},
  ) {
    super(`${code} ${JSON.stringify(details)}`);
  }
}
