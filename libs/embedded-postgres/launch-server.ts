import { spawn } from 'node:child_process';
import { open, rename, stat, type FileHandle } from 'node:fs/promises';
import { createServer, type AddressInfo } from 'node:net';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Cluster } from './create-cluster.js';
import { EmbeddedPostgresError } from './embedded-postgres-error.js';
import { dropStrangersPidFile, liveServer, type LiveServer } from './live-server.js';
import type { ServerPrograms } from './server-programs.js';
import type { ServerUser } from './server-user.js';

/** `test` gives up durability: a power cut may lose everything, and nothing waits for the disk. */
export type ServerProfile = 'durable' | 'test';

export interface LaunchOptions {
  readonly home: string;
  readonly cluster: Cluster;
  readonly programs: ServerPrograms;
  readonly user: ServerUser;
  readonly profile: ServerProfile;
  readonly deadlineMs: number;
}

/** A dead server's children notice within about a second; this often we look whether they have. */
const RETRY_MS = 250;

const LOOK_AGAIN_MS = 20;

/** The log of a server that has run for a year should not fill the disk; one older log is kept. */
const LOG_BYTES_MAX = 8_000_000;

/** Reasons to refuse that pass by themselves: a dead server's children, or a port taken since we looked. */
const PASSING_REASONS = /lock file|shared memory block|could not bind|could not create any TCP\/IP sockets/;

const SETTINGS: readonly string[] = [
  'listen_addresses=127.0.0.1',
  // No socket file: its path may be at most 107 bytes long, and it would be left behind by a kill.
  'unix_socket_directories=',
  'timezone=UTC',
  'log_timezone=UTC',
  'log_checkpoints=off',
  // A refused row would be written to the log with everything in it, body measures too.
  'log_error_verbosity=terse',
  'log_min_error_statement=panic',
];

const TEST_SETTINGS: readonly string[] = [
  'fsync=off',
  'synchronous_commit=off',
  'full_page_writes=off',
  'max_connections=300',
];

/**
 * Start the server and wait until it answers. It is nobody's child: it outlives us, and the next start adopts it.
 *
 * A start that was too slow is left running for the same reason: a long recovery is not begun again from nothing.
 */
export async function launchServer(options: LaunchOptions): Promise<LiveServer> {
  for (;;) {
    await dropStrangersPidFile(options.cluster.dataDirectory);
    const outcome = await launchOnce(options);
    if (typeof outcome !== 'string') return outcome;
    if (!PASSING_REASONS.test(outcome)) {
      throw new EmbeddedPostgresError(
        'START_FAILED',
        `Postgres ended while starting: ${outcome.slice(-2_000)}`,
      );
    }
    await sleep(RETRY_MS);
    // Whoever held it may be a server that another starter has just brought up.
    const other = await readyServer(options.cluster, options.deadlineMs);
    if (other !== undefined) return other;
    if (performance.now() > options.deadlineMs) throw startTimeout(options, outcome);
  }
}

/** The live server once it is ready; undefined when none runs. Waits for one that starts or stops. */
export async function readyServer(cluster: Cluster, deadlineMs: number): Promise<LiveServer | undefined> {
  for (;;) {
    const server = await liveServer(cluster.dataDirectory);
    if (server === undefined || server.status === 'ready') return server;
    if (performance.now() > deadlineMs) {
      throw new EmbeddedPostgresError(
        'START_TIMEOUT',
        `Postgres ${server.pid} is still ${server.status}; try again later.`,
      );
    }
    await sleep(LOOK_AGAIN_MS);
  }
}

/** The server, or what it said when it ended instead. */
async function launchOnce(options: LaunchOptions): Promise<LiveServer | string> {
  const { cluster, programs, user, deadlineMs } = options;
  const log = await openLog(join(options.home, 'server.log'), user);
  const from = (await log.stat()).size;
  try {
    // Into a file and not a pipe: a pipe breaks with us, and the server with it.
    const child = spawn(programs.postgres, await commandWords(options), {
      ...user,
      cwd: '/',
      env: { PATH: process.env['PATH'], LC_ALL: 'C' },
      detached: true,
      stdio: ['ignore', log.fd, log.fd],
    });
    let ended: string | undefined;
    child.once('error', (error) => (ended = error.message));
    child.once('exit', (code, signal) => (ended ??= String(code ?? signal)));
    child.unref();
    while (ended === undefined) {
      const server = await liveServer(cluster.dataDirectory);
      if (server?.pid === child.pid && server?.status === 'ready') return server;
      if (performance.now() > deadlineMs) throw startTimeout(options, await readFrom(log, from));
      await sleep(LOOK_AGAIN_MS);
    }
    return `${ended} ${await readFrom(log, from)}`;
  } finally {
    await log.close();
  }
}

async function commandWords({ cluster, profile }: LaunchOptions): Promise<string[]> {
  const settings = [`port=${await freePort()}`, ...SETTINGS, ...(profile === 'test' ? TEST_SETTINGS : [])];
  return ['-D', cluster.dataDirectory, ...settings.flatMap((setting) => ['-c', setting])];
}

/** Free when asked. If it is taken before the server has it, the server says so and the next one is tried. */
async function freePort(): Promise<number> {
  const probe = createServer();
  await new Promise<void>((resolve, reject) => {
    probe.once('error', reject);
    probe.listen(0, '127.0.0.1', resolve);
  });
  const { port } = probe.address() as AddressInfo;
  await new Promise((resolve) => probe.close(resolve));
  return port;
}

async function openLog(path: string, { uid, gid }: ServerUser): Promise<FileHandle> {
  const bytes = await stat(path).then(
    ({ size }) => size,
    () => 0,
  );
  if (bytes > LOG_BYTES_MAX) await rename(path, `${path}.old`);
  const log = await open(path, 'a+', 0o600);
  if (uid !== undefined && gid !== undefined) await log.chown(uid, gid);
  return log;
}

async function readFrom(log: FileHandle, position: number): Promise<string> {
  const { size } = await log.stat();
  const buffer = Buffer.alloc(Math.max(0, Math.min(size - position, 100_000)));
  await log.read(buffer, 0, buffer.length, position);
  return buffer.toString();
}

function startTimeout({ home }: LaunchOptions, said: string): EmbeddedPostgresError {
  return new EmbeddedPostgresError(
    'START_TIMEOUT',
    `Postgres was not ready in time; its log is ${join(home, 'server.log')}. Last: ${said.trim().slice(-500)}`,
  );
}
