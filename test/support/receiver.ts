import { createServer, type IncomingHttpHeaders, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo, Socket } from 'node:net';

export interface Received {
  readonly headers: IncomingHttpHeaders;
  readonly path: string;
  readonly body: string;
}

export interface Receiver {
  readonly port: number;
  /** `host:port` on the loopback address. */
  readonly address: string;
  readonly url: string;
  readonly received: readonly Received[];
  /** Connections of any kind, whether a request came over them or not. */
  readonly connections: () => number;
  /** Bytes written to all connections. */
  readonly bytesSent: () => number;
  close(): Promise<void>;
}

/** A real HTTP server that answers as it is told, on every address of this machine. */
export async function startReceiver(
  answer: (request: IncomingMessage, response: ServerResponse) => void,
): Promise<Receiver> {
  const received: Received[] = [];
  const sockets = new Set<Socket>();
  const server = createServer((request, response) => {
    let body = '';
    request.setEncoding('utf8').on('data', (chunk: string) => (body += chunk));
    request.on('end', () => {
      received.push({ headers: request.headers, path: request.url ?? '', body });
      answer(request, response);
    });
  });
  server.on('connection', (socket) => sockets.add(socket));
  await new Promise<void>((resolve) => server.listen(0, '::', resolve));
  const { port } = server.address() as AddressInfo;
  return {
    port,
    address: `127.0.0.1:${port}`,
    url: `http://127.0.0.1:${port}/hooks?shop=1`,
    received,
    connections: () => sockets.size,
    bytesSent: () => [...sockets].reduce((sum, socket) => sum + socket.bytesWritten, 0),
    close: () => {
      for (const socket of sockets) socket.destroy();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}
