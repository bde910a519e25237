import { spawn, type ChildProcess } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { EmbeddedPostgres } from '#embedded-postgres';

export type StartedServer = Pick<EmbeddedPostgres, 'url' | 'state' | 'directory' | 'pid'>;

/** A process of its own that starts the embedded server, says what it got, and stays until it is killed. */
export interface StarterProcess {
  readonly child: ChildProcess;
  readonly started: Promise<StartedServer>;
  /** As a crash would: no warning. */
  kill(): Promise<void>;
}

export interface StarterOptions {
  readonly uid?: number;
  readonly gid?: number;
  /** Another copy of the repository to run it from. */
  readonly repository?: string;
}

const REPOSITORY = fileURLToPath(new URL('../../../', import.meta.url));

export function spawnStarter(directory: string, options: StarterOptions = {}): StarterProcess {
  const { repository = REPOSITORY, ...user } = options;
  const script = join(repository, 'dist/test/support/start-and-stay.js');
  const child = spawn(process.execPath, [script, directory], {
    ...user,
    cwd: '/',
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const closed = new Promise<void>((resolve) => child.once('close', () => resolve()));
  const started = firstLine(child).then((line) => JSON.parse(line) as StartedServer);
  started.catch(() => undefined); // a starter that is killed early never answers
  return {
    child,
    started,
    kill: async () => {
      child.kill('SIGKILL');
      await closed;
    },
  };
}

function firstLine(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let out = '';
    let said = '';
    child.stderr?.on('data', (chunk: Buffer) => (said += chunk.toString()));
    child.stdout?.on('data', (chunk: Buffer) => {
      out += chunk.toString();
      if (out.includes('\n')) resolve(out);
    });
    child.once('close', (code, signal) => reject(new Error(`starter ended with ${code ?? signal}: ${said}`)));
  });
}
