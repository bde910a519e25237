import { spawn } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { mkdir, open, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { EmbeddedPostgresError } from './embedded-postgres-error.js';
import type { ServerPrograms } from './server-programs.js';
import { giveTo, type ServerUser } from './server-user.js';
import { moveIntoPlace, stagingPath, sweepStaging } from './staging.js';

/** Owner of the database, and the database: one name for both. */
export const DATABASE_NAME = 'forkline';

/** The server's files: there as a whole or not at all, because it comes by rename. */
export interface Cluster {
  readonly dataDirectory: string;
  readonly passwordFile: string;
}

export interface CreateClusterOptions {
  readonly home: string;
  readonly programs: ServerPrograms;
  readonly user: ServerUser;
  /** `no-sync` saves time where the files are thrown away anyway. */
  readonly durability: 'sync' | 'no-sync';
}

export function clusterIn(home: string): Cluster {
  return { dataDirectory: join(home, 'cluster/data'), passwordFile: join(home, 'cluster/password') };
}

/**
 * Create the cluster of `home` unless it is there.
 *
 * Everything is made in a folder of its own and renamed into place at the end. A creation that was killed
 * leaves only such a folder, which the next one removes; of two at once, the second finds the place taken
 * and uses the first one's.
 */
export async function ensureCluster(options: CreateClusterOptions): Promise<Cluster> {
  const { home, programs } = options;
  const cluster = clusterIn(home);
  await sweepStaging(home);
  const found = await dataVersion(cluster);
  if (found === undefined) await createCluster(options);
  else if (found !== programs.majorVersion) throw versionMismatch(cluster, found, programs.majorVersion);
  return cluster;
}

export async function dataVersion({ dataDirectory }: Cluster): Promise<string | undefined> {
  try {
    return (await readFile(join(dataDirectory, 'PG_VERSION'), 'utf8')).trim();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}

async function createCluster({ home, programs, user, durability }: CreateClusterOptions): Promise<void> {
  const staging = stagingPath(home);
  await mkdir(staging, { mode: 0o700 });
  await giveTo(user, staging);
  const password = await writePassword(join(staging, 'password'), user);
  const data = join(staging, 'data');
  // Scram over the loopback as well: every user of the machine can reach the port.
  const initial = [
    `--pgdata=${data}`,
    `--pwfile=${password}`,
    `--username=${DATABASE_NAME}`,
    '--auth=scram-sha-256',
  ];
  const text = ['--encoding=UTF8', '--locale=C', ...(durability === 'no-sync' ? ['--no-sync'] : [])];
  await runProgram(programs.initdb, [...initial, ...text], user);
  const single = [
    '--single',
    '-D',
    data,
    ...(durability === 'no-sync' ? ['-c', 'fsync=off'] : []),
    'postgres',
  ];
  await runProgram(programs.postgres, single, user, `CREATE DATABASE ${DATABASE_NAME}\n`);
  await moveIntoPlace(staging, join(home, 'cluster'));
}

async function writePassword(path: string, user: ServerUser): Promise<string> {
  const file = await open(path, 'wx', 0o600);
  try {
    await file.writeFile(randomBytes(24).toString('base64url'));
    await file.sync();
  } finally {
    await file.close();
  }
  await giveTo(user, path);
  return path;
}

function runProgram(program: string, words: readonly string[], user: ServerUser, input = ''): Promise<void> {
  return new Promise((resolve, reject) => {
    const env = { PATH: process.env['PATH'], LC_ALL: 'C' };
    const child = spawn(program, words, { ...user, cwd: '/', env, stdio: ['pipe', 'ignore', 'pipe'] });
    let said = '';
    child.stderr.on('data', (chunk: Buffer) => (said += chunk.toString()));
    child.stdin.on('error', () => undefined); // the program ended first; its exit code tells
    child.stdin.end(input);
    const fail = (why: string, cause?: Error): void => {
      const message = `${program} ${why}: ${said.trim().slice(-2_000)}`;
      reject(new EmbeddedPostgresError('CREATE_FAILED', message, { cause }));
    };
    child.once('error', (error) => fail('did not run', error));
    child.once('close', (code, signal) => (code === 0 ? resolve() : fail(`ended with ${code ?? signal}`)));
  });
}

function versionMismatch({ dataDirectory }: Cluster, found: string, expected: string): EmbeddedPostgresError {
  return new EmbeddedPostgresError(
    'VERSION_MISMATCH',
    `${dataDirectory} was written by Postgres ${found}; the installed one is ${expected}. Dump it with ${found} and restore it, or move the folder away to begin anew.`,
  );
}
