import { connect, createServer, type Socket } from 'node:net';
import type { AddressInfo } from 'node:net';

/** A line to a server that can be cut and mended, as a network does it. */
export interface CutLine {
  /** `url` with this line in the place of its host and port. */
  through(url: string): string;
  cut(): void;
  mend(): void;
  close(): Promise<void>;
}

export async function openCutLine(): Promise<CutLine> {
  const sockets = new Set<Socket>();
  let target = { host: '', port: 0 };
  let isCut = false;
  const server = createServer((caller) => {
    if (isCut) return void caller.destroy();
    const called = connect(target.port, target.host);
    for (const [from, to] of [
      [caller, called],
      [called, caller],
    ] as const) {
      sockets.add(from);
      from.pipe(to);
      from.on('error', () => to.destroy());
      from.on('close', () => {
        sockets.delete(from);
        to.destroy();
      });
    }
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const cut = (): void => {
    isCut = true;
    for (const socket of sockets) socket.destroy();
  };
  return {
    through: (url) => {
      const changed = new URL(url);
      target = { host: changed.hostname, port: Number(changed.port) };
      changed.host = `127.0.0.1:${(server.address() as AddressInfo).port}`;
      return changed.href;
    },
    cut,
    mend: () => {
      isCut = false;
    },
    close: async () => {
      cut();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}
