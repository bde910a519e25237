import { spawn, type ChildProcess } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { eventually } from './eventually.js';

export interface ServiceProcess {
  readonly url: string;
  /** Everything it has written to its output. */
  log(): string;
  /** As a crash would: no warning. */
  kill(): Promise<void>;
  /** As an operator does; the exit code. */
  stop(): Promise<number | null>;
}

/** The API or the worker as it is run in earnest: a process of its own, set up by its environment only. */
export function startServiceProcess(
  name: 'api' | 'worker',
  port: number,
  settings: Readonly<Record<string, string>>,
): ServiceProcess {
  const main = fileURLToPath(new URL(`../../apps/${name}/main.js`, import.meta.url));
  const ports = { [name === 'api' ? 'FORKLINE_PORT' : 'FORKLINE_WORKER_PORT']: String(port) };
  const child = spawn(process.execPath, [main], {
    env: { PATH: process.env['PATH'] ?? '', ...settings, ...ports },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let text = '';
  const listen = (chunk: Buffer): void => void (text += chunk.toString());
  child.stdout.on('data', listen);
  child.stderr.on('data', listen);
  return {
    url: `http://127.0.0.1:${port}`,
    log: () => text,
    kill: () => ended(child, 'SIGKILL').then(() => undefined),
    stop: () => ended(child, 'SIGTERM'),
  };
}

/** Wait until it says that it is ready. */
export async function whenReady(service: ServiceProcess): Promise<void> {
  const ask = () =>
    fetch(`${service.url}/readyz`).then(
      ({ status }) => status,
      () => service.log(),
    );
  await eventually(ask, (answer) => answer === 200, 60_000);
}

async function ended(child: ChildProcess, signal: NodeJS.Signals): Promise<number | null> {
  if (child.exitCode !== null || child.signalCode !== null) return child.exitCode;
  const exited = new Promise((resolve) => child.once('exit', resolve));
  child.kill(signal);
  await exited;
  return child.exitCode;
}
