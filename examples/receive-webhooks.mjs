// A webhook receiver to try the service with; no dependencies.
//
//   node examples/receive-webhooks.mjs PORT SECRET
//
// Verifies each message as Standard Webhooks 1.0 says, and prints it: base64 of the HMAC-SHA256 over
// "id.timestamp.body", keyed with the bytes of the secret behind "whsec_". Old messages are refused.
import { Buffer } from 'node:buffer';
import { createHmac, timingSafeEqual } from 'node:crypto';
import { createServer } from 'node:http';

const [port, secret = ''] = process.argv.slice(2);
if (port === undefined || !secret.startsWith('whsec_')) {
  console.error('Usage: node examples/receive-webhooks.mjs PORT SECRET (as the API gave it, whsec_...)');
  process.exit(2);
}

const AGE_S_MAX = 5 * 60;

function isGenuine(headers, body) {
  const { 'webhook-id': id, 'webhook-timestamp': timestamp, 'webhook-signature': signatures = '' } = headers;
  if (Math.abs(Date.now() / 1000 - Number(timestamp)) > AGE_S_MAX) return false;
  const key = Buffer.from(secret.slice('whsec_'.length), 'base64');
  const expected = createHmac('sha256', key).update(`${id}.${timestamp}.${body}`).digest();
  return signatures.split(' ').some((signature) => {
    const found = Buffer.from(signature.replace(/^v1,/, ''), 'base64');
    return found.length === expected.length && timingSafeEqual(found, expected);
  });
}

createServer(async (request, response) => {
  const chunks = [];
  for await (const chunk of request) chunks.push(chunk);
  const body = Buffer.concat(chunks).toString('utf8');
  const genuine = isGenuine(request.headers, body);
  response.writeHead(genuine ? 204 : 400).end();
  console.log(
    genuine ? `verified ${request.headers['webhook-id']} ${body}` : 'refused: the signature is wrong',
  );
}).listen(Number(port), '127.0.0.1', () => console.log(`listening on http://127.0.0.1:${port}`));
