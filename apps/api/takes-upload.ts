import type { IncomingMessage } from 'node:http';

/** Whether a form with a file may be sent to where this request goes. */
export function takesUpload({ method, url = '' }: IncomingMessage): boolean {
  return method === 'POST' && /^\/v1\/checks\/?(\?|$)/.test(url);
}
