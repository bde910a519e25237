export type WebhookErrorCode =
  'SECRET_INVALID' | 'SECRETS_MISSING' | 'MESSAGE_ID_INVALID' | 'BODY_TOO_LARGE' | 'ALLOWED_RECEIVER_INVALID';

/** The caller is wrong. What a receiver does wrong is a `DeliveryOutcome`, never this. */
export class WebhookError extends Error {
  override readonly name = 'WebhookError';
  readonly retryable = false;

  constructor(
    readonly code: WebhookErrorCode,
    readonly details: Readonly<Record<string, unknown>> = {},
  ) {
    super(`${code} ${JSON.stringify(details)}`);
  }
}
