import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Metrics } from '#observability';

export interface HealthServerOptions {
  readonly host: string;
  readonly port: number;
  readonly metrics: Metrics;
  /** Throws when the worker cannot work just now. */
  readonly ready: () => Promise<void>;
}

export interface HealthServer {
  readonly port: number;
  close(): Promise<void>;
}

/** Whoever asks has a short patience: a database that takes longer is as good as away. */
const READY_MS_MAX = 2_000;

/** `/healthz` the process answers; `/readyz` it can work; `/metrics` for Prometheus. Nothing else. */
export async function startHealthServer(options: HealthServerOptions): Promise<HealthServer> {
  const server = createServer((request, response) => {
    void answer(request, options).then(({ status, contentType, text }) =>
      send(response, status, contentType, text),
    );
  });
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(options.port, options.host, resolve);
  });
  return { port: (server.address() as AddressInfo).port, close: () => closed(server) };
}

interface Answer {
  readonly status: number;
  readonly contentType: string;
  readonly text: string;
}

async function answer({ url, method }: IncomingMessage, options: HealthServerOptions): Promise<Answer> {
  if (method !== 'GET' && method !== 'HEAD') return json(405, { status: 'method not allowed' });
  switch (url) {
    case '/healthz':
      return json(200, { status: 'ok' });
    case '/readyz':
      return (await isReady(options)) ? json(200, { status: 'ready' }) : json(503, { status: 'not ready' });
    case '/metrics': {
      const { contentType, text } = await options.metrics.exposition();
      return { status: 200, contentType, text };
    }
    default:
      return json(404, { status: 'not found' });
  }
}

async function isReady({ ready }: HealthServerOptions): Promise<boolean> {
  let timer: NodeJS.Timeout | undefined;
  const tooLate = new Promise<false>((resolve) => {
    timer = setTimeout(() => resolve(false), READY_MS_MAX);
  });
  const asked = ready().then(
    () => true,
    () => false,
  );
  return Promise.race([asked, tooLate]).finally(() => clearTimeout(timer));
}

function json(status: number, value: object): Answer {
  return { status, contentType: 'application/json', text: `${JSON.stringify(value)}\n` };
}

function send(response: ServerResponse, status: number, contentType: string, text: string): void {
  response.writeHead(status, { 'content-type': contentType, 'cache-control': 'no-store' }).end(text);
}

function closed(server: Server): Promise<void> {
  server.closeAllConnections();
  return new Promise((resolve) => server.close(() => resolve()));
}
