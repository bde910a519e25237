import { createServer } from 'node:net';
import type { AddressInfo } from 'node:net';

/** The port that is wanted, or any other that is free at the moment when that one is taken. */
export async function freePort(wanted = 0): Promise<number> {
  return (await portIfFree(wanted)) ?? freePort();
}

function portIfFree(wanted: number): Promise<number | undefined> {
  const server = createServer();
  return new Promise((resolve) => {
    server.once('error', () => resolve(undefined));
    server.listen(wanted, '127.0.0.1', () => {
      const { port } = server.address() as AddressInfo;
      server.close(() => resolve(port));
    });
  });
}
