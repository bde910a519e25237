import { createHmac, timingSafeEqual } from 'node:crypto';
import { createServer, type IncomingMessage } from 'node:http';
import type { AddressInfo } from 'node:net';

export interface ReceivedWebhook {
  readonly headers: Readonly<Record<string, string>>;
  /** As it came, byte for byte: what is signed is this and not its meaning. */
  readonly body: string;
}

export interface WebhookReceiver {
  readonly url: string;
  /** `host:port`, as the operator's setting wants it. */
  readonly address: string;
  /** The next message, or the one that came already. */
  received(withinMs: number): Promise<ReceivedWebhook>;
  close(): Promise<void>;
}

/** No message of ours is near it; whoever sends more is not us. */
const BODY_BYTES_MAX = 65_536;

/** A receiver such as a shop would run, on this machine. */
export async function startWebhookReceiver(): Promise<WebhookReceiver> {
  let take: (message: ReceivedWebhook) => void = () => undefined;
  const first = new Promise<ReceivedWebhook>((resolve) => (take = resolve));
  const server = createServer((request, response) => {
    void bodyOf(request).then((body) => {
      response.writeHead(204).end();
      take({ headers: headersOf(request), body });
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = `127.0.0.1:${(server.address() as AddressInfo).port}`;
  return {
    url: `http://${address}/forkline`,
    address,
    received: (withinMs) => within(first, withinMs),
    close: () => {
      server.closeAllConnections();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}

/**
 * Whether a message carries a signature by this secret, as a receiver in any language would check it.
 *
 * Source  Standard Webhooks 1.0.0, "Verifying webhook authenticity": HMAC-SHA256 over `id.timestamp.body`.
 */
export function isSignedBy({ headers, body }: ReceivedWebhook, secret: string): boolean {
  const { 'webhook-id': id, 'webhook-timestamp': timestamp, 'webhook-signature': signatures = '' } = headers;
  const key = Buffer.from(secret.replace(/^whsec_/, ''), 'base64');
  const expected = createHmac('sha256', key).update(`${id}.${timestamp}.${body}`).digest();
  return signatures.split(' ').some((signature) => {
    const [version, encoded = ''] = signature.split(',');
    const found = Buffer.from(encoded, 'base64');
    return version === 'v1' && found.length === expected.length && timingSafeEqual(found, expected);
  });
}

async function bodyOf(request: IncomingMessage): Promise<string> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of request as AsyncIterable<Buffer>) {
    bytes += chunk.length;
    if (bytes > BODY_BYTES_MAX) break;
    chunks.push(chunk);
  }
  return Buffer.concat(chunks).toString('utf8');
}

function headersOf({ headers }: IncomingMessage): Record<string, string> {
  return Object.fromEntries(
    Object.entries(headers).flatMap(([name, value]) => (typeof value === 'string' ? [[name, value]] : [])),
  );
}

async function within<T>(promise: Promise<T>, withinMs: number): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(`no message within ${withinMs} ms`)), withinMs);
  });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}
