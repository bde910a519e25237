import { afterEach, describe, expect, it } from '@jest/globals';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { Webhook } from 'standardwebhooks';
import {
  createDeliverer,
  createSecret,
  type Deliverer,
  type DelivererOptions,
  type DeliveryOutcome,
} from '#webhooks';
import { startReceiver, type Receiver } from '../../test/support/receiver.js';

const NOW = new Date('2026-03-02T10:00:00Z');
const SECRET = createSecret();
const BODY = '{"type":"draft.ready","data":{"draft":"drf_1"}}';
const MESSAGE = { messageId: 'msg_1', body: BODY, secrets: [SECRET] };
const TIMEOUTS = { connectMs: 1_000, headersMs: 600, bodyMs: 300, answerMs: 1_500, drainMs: 300 };

describe('delivering a webhook', () => {
  const closers: (() => Promise<void>)[] = [];

  afterEach(() => Promise.all(closers.splice(0).map((close) => close())));

  const receiver = async (
    answer: (request: IncomingMessage, response: ServerResponse) => void,
  ): Promise<Receiver> => {
    const started = await startReceiver(answer);
    closers.push(started.close);
    return started;
  };
  const deliverer = (options: Partial<DelivererOptions>): Deliverer => {
    const made = createDeliverer({
      allowedReceivers: [],
      userAgent: 'forkline/0.1',
      now: () => NOW,
      timeouts: TIMEOUTS,
      ...options,
    });
    closers.push(made.close);
    return made;
  };
  const deliverTo = async (
    answer: (request: IncomingMessage, response: ServerResponse) => void,
  ): Promise<{ readonly outcome: DeliveryOutcome; readonly to: Receiver }> => {
    const to = await receiver(answer);
    const outcome = await deliverer({ allowedReceivers: [to.address] }).deliver({ ...MESSAGE, url: to.url });
    return { outcome, to };
  };
  const answers = (status: number, headers: Record<string, string> = {}) =>
    deliverTo((_request, response) => response.writeHead(status, headers).end('thanks'));

  it('arrives whole, and any Standard Webhooks receiver can verify it', async () => {
    const to = await receiver((_request, response) => response.writeHead(204).end());
    const now = new Date();
    const outcome = await deliverer({ allowedReceivers: [to.address], now: () => now }).deliver({
      ...MESSAGE,
      url: to.url,
    });
    expect(outcome).toMatchObject({ kind: 'delivered', status: 204 });
    expect(outcome.durationMs).toBeGreaterThan(0);
    const [{ headers, path, body }] = to.received;
    expect([path, body]).toEqual(['/hooks?shop=1', BODY]);
    expect(headers).toMatchObject({ 'content-type': 'application/json', 'user-agent': 'forkline/0.1' });
    const verify = (text: string): unknown =>
      new Webhook(SECRET).verify(text, headers as Record<string, string>);
    expect(verify(body)).toEqual(JSON.parse(BODY));
    expect(() => verify(body.replace('drf_1', 'drf_2'))).toThrow('No matching signature');
    expect(() => new Webhook(createSecret()).verify(body, headers as Record<string, string>)).toThrow();
  });

  it.each([
    [200, 'delivered', undefined],
    [202, 'delivered', undefined],
    [299, 'delivered', undefined],
    [400, 'failed', 'STATUS_NOT_2XX'],
    [404, 'failed', 'STATUS_NOT_2XX'],
    [500, 'failed', 'STATUS_NOT_2XX'],
    [410, 'gone', undefined],
    [429, 'throttled', undefined],
    [502, 'throttled', undefined],
    [503, 'throttled', undefined],
    [504, 'throttled', undefined],
  ])('takes %i as %s', async (status, kind, reason) => {
    const { outcome } = await answers(status);
    expect(outcome).toMatchObject({ kind, status, ...(reason === undefined ? {} : { reason }) });
  });

  it.each([
    ['120', 120_000],
    ['Mon, 02 Mar 2026 10:05:00 GMT', 300_000],
    ['Mon, 02 Mar 2026 09:00:00 GMT', 0],
    ['99999999', 86_400_000],
    ['-5', undefined],
    ['soon', undefined],
  ])('reads Retry-After %s', async (text, retryAfterMs) => {
    const { outcome } = await answers(429, { 'retry-after': text });
    expect(outcome).toMatchObject({ kind: 'throttled', status: 429 });
    expect('retryAfterMs' in outcome ? outcome.retryAfterMs : undefined).toBe(retryAfterMs);
  });

  it('follows no redirect', async () => {
    const elsewhere = await receiver((_request, response) => response.writeHead(200).end());
    for (const status of [301, 302, 307, 308]) {
      const { outcome } = await answers(status, { location: elsewhere.url });
      expect(outcome).toMatchObject({ kind: 'failed', reason: 'REDIRECTED', status });
    }
    expect(elsewhere.connections()).toBe(0);
  });

  it('gives up on a receiver that says nothing', async () => {
    const startedAt = performance.now();
    const { outcome, to } = await deliverTo(() => undefined);
    expect(outcome).toMatchObject({ kind: 'failed', reason: 'TOO_SLOW' });
    expect(performance.now() - startedAt).toBeLessThan(5_000);
    expect(to.received).toHaveLength(1);
  });

  it('cuts a receiver that drips its headers', async () => {
    const startedAt = performance.now();
    const { outcome } = await deliverTo((request) => {
      const socket = request.socket;
      socket.write('HTTP/1.1 200 OK\r\n');
      const timer = setInterval(() => socket.write('X-Drip: 1\r\n'), 100);
      socket.once('close', () => clearInterval(timer));
    });
    expect(outcome).toMatchObject({ kind: 'failed', reason: 'TOO_SLOW' });
    expect(performance.now() - startedAt).toBeLessThan(5_000);
  });

  it('cuts a receiver that drips its body, and believes its status', async () => {
    let isCut = false;
    const startedAt = performance.now();
    const { outcome } = await deliverTo((_request, response) => {
      response.writeHead(200).write('.');
      const timer = setInterval(() => response.write('.'), 50);
      response.once('close', () => {
        isCut = true;
        clearInterval(timer);
      });
    });
    expect(outcome).toMatchObject({ kind: 'delivered', status: 200 });
    expect(performance.now() - startedAt).toBeLessThan(4_000);
    await new Promise((resolve) => setTimeout(resolve, 200));
    expect(isCut).toBe(true);
  });

  it('drops a huge body after little of it', async () => {
    const { outcome, to } = await deliverTo((_request, response) => {
      // Chunked, so that its size is not known beforehand.
      const chunk = Buffer.alloc(100_000);
      response.writeHead(500);
      const pump = (left: number): void => {
        if (left === 0) response.end();
        else response.write(chunk, () => pump(left - 1));
      };
      pump(100);
    });
    expect(outcome).toMatchObject({ kind: 'failed', reason: 'STATUS_NOT_2XX', status: 500 });
    // 64 kB read, and what the two sockets' buffers took meanwhile; all of it would be 10 MB.
    expect(to.bytesSent()).toBeLessThan(8_000_000);
  });

  it('calls a reset connection lost, and an absent receiver unreachable', async () => {
    const { outcome, to } = await deliverTo((request) => request.socket.resetAndDestroy());
    expect(outcome).toMatchObject({ kind: 'failed', reason: 'CONNECTION_LOST' });
    const url = `http://${to.address}/`;
    await to.close();
    const again = deliverer({ allowedReceivers: [to.address] });
    expect(await again.deliver({ ...MESSAGE, url })).toMatchObject({
      kind: 'failed',
      reason: 'CONNECT_FAILED',
    });
  });

  it('speaks no plain text to a receiver of https', async () => {
    const to = await receiver((_request, response) => response.writeHead(200).end());
    const sender = deliverer({ allowedReceivers: [to.address] });
    expect(await sender.deliver({ ...MESSAGE, url: `https://${to.address}/` })).toMatchObject({
      kind: 'failed',
      reason: 'TLS_FAILED',
    });
    expect(to.received).toHaveLength(0);
  });

  it('stops when its caller asks it to', async () => {
    const to = await receiver(() => undefined);
    const sender = deliverer({ allowedReceivers: [to.address], timeouts: {} });
    const cancel = new AbortController();
    setTimeout(() => cancel.abort(), 100);
    expect(await sender.deliver({ ...MESSAGE, url: to.url, signal: cancel.signal })).toMatchObject({
      kind: 'failed',
      reason: 'CANCELLED',
    });
  });
});
