export type SheetErrorCode = 'TOO_LARGE';

/** A sheet was asked for that cannot be laid out. The caller should have checked; never shown to a customer. */
export class SheetError extends Error {
  override readonly name = 'SheetError';

  constructor(
    readonly code: SheetErrorCode,
    readonly details: Readonly<Record<string, unknown>> = {},
  ) {
    super(`${code} ${JSON.stringify(details)}`);
  }
}
