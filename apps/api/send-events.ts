import { once } from 'node:events';
import type { Request, Response } from 'express';

/** So that proxies and people see that the connection lives. */
const BEAT_EVERY_MS = 15_000;

/** How long a client waits before it asks again after a cut. */
const RETRY_MS = 1_000;

interface Sequenced {
  readonly sequence: number;
}

/**
 * Send the states of some work as server-sent events until it has ended or the caller hangs up.
 *
 * Shape   `event` is the word for it, `id` its sequence, `data` the work as GET answers it. A client that comes back
 *         with Last-Event-ID gets what it has not seen; when there will be nothing more it gets 204, which tells it
 *         to stop (HTML standard, 9.2.3). Quick changes may come as one event.
 */
export async function sendEvents(
  request: Request,
  response: Response,
  word: 'draft' | 'export' | 'marker' | 'check',
  follow: (signal: AbortSignal) => Promise<AsyncGenerator<Sequenced, void> | undefined>,
): Promise<void> {
  const hangUp = new AbortController();
  response.once('close', () => hangUp.abort());
  const states = await follow(hangUp.signal);
  if (states === undefined) return void response.status(204).end();
  response.writeHead(200, {
    'Content-Type': 'text/event-stream; charset=utf-8',
    'Cache-Control': 'no-store',
    'X-Accel-Buffering': 'no',
  });
  response.write(`retry: ${RETRY_MS}\n\n`);
  if (request.method === 'HEAD') return void response.end();
  const beat = setInterval(() => response.write(': still here\n\n'), BEAT_EVERY_MS);
  try {
    for await (const state of states) {
      const written = response.write(eventText(word, state));
      if (!written && !hangUp.signal.aborted) await once(response, 'drain', { signal: hangUp.signal });
    }
  } catch (error) {
    if (!hangUp.signal.aborted) throw error;
  } finally {
    clearInterval(beat);
    response.end();
  }
}

function eventText(word: string, state: Sequenced): string {
  return `id: ${state.sequence}\nevent: ${word}\ndata: ${JSON.stringify(state)}\n\n`;
}
