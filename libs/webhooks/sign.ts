import { randomBytes } from 'node:crypto';
import { Webhook } from 'standardwebhooks';
import { WebhookError } from './webhook-error.js';

export interface MessageToSign {
  /** The same over all attempts: the receiver's key against doing a thing twice. No dots. */
  readonly messageId: string;
  /** Of this attempt. */
  readonly sentAt: Date;
  readonly body: string;
  /** The current secret first; older ones while receivers change over. */
  readonly secrets: readonly string[];
}

export interface SignatureHeaders {
  readonly 'webhook-id': string;
  readonly 'webhook-timestamp': string;
  readonly 'webhook-signature': string;
}

const SECRET_PREFIX = 'whsec_';
/** What Standard Webhooks 1.0 asks of a secret, in bytes. */
const SECRET_BYTES = { min: 24, max: 64, ours: 32 } as const;
const MESSAGE_ID = /^[A-Za-z0-9_-]{1,128}$/;
const BASE64 = /^[A-Za-z0-9+/]+={0,2}$/;

/**
 * The three headers of Standard Webhooks 1.0 over `id.timestamp.body`, one signature for each secret.
 *
 * Errors  WebhookError when a secret or the id is not of the standard's form; the secret is never in the message.
 * Source  Standard Webhooks 1.0.0, "Webhook headers" and "Signature scheme"; v1 is HMAC-SHA256.
 */
export function signatureHeaders({ messageId, sentAt, body, secrets }: MessageToSign): SignatureHeaders {
  if (!MESSAGE_ID.test(messageId)) {
    throw new WebhookError('MESSAGE_ID_INVALID', { messageId, allowed: MESSAGE_ID.source });
  }
  if (secrets.length === 0) throw new WebhookError('SECRETS_MISSING');
  const signatures = secrets.map((secret, i) => {
    assertSecret(secret, i);
    return new Webhook(secret).sign(messageId, sentAt, body);
  });
  return {
    'webhook-id': messageId,
    'webhook-timestamp': String(Math.floor(sentAt.getTime() / 1000)),
    'webhook-signature': signatures.join(' '),
  };
}

/** A new secret from the system's source of randomness, as it is shown to the receiver once. */
export function createSecret(): string {
  return SECRET_PREFIX + randomBytes(SECRET_BYTES.ours).toString('base64');
}

function assertSecret(secret: string, place: number): void {
  const encoded = secret.startsWith(SECRET_PREFIX) ? secret.slice(SECRET_PREFIX.length) : '';
  const bytes = BASE64.test(encoded) ? Buffer.from(encoded, 'base64').length : 0;
  if (bytes >= SECRET_BYTES.min && bytes <= SECRET_BYTES.max) return;
  throw new WebhookError('SECRET_INVALID', {
    place,
    found: `${bytes} bytes`,
    allowed: `${SECRET_PREFIX} and ${SECRET_BYTES.min} to ${SECRET_BYTES.max} bytes in base64`,
  });
}
