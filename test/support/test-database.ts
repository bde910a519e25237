import { createHash, randomBytes } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import pg from 'pg';
import { migrate, openDatabase, type Database } from '#persistence';
import { startTestServer } from './test-server.js';

export const MIGRATIONS = fileURLToPath(new URL('../../../prisma/migrations', import.meta.url));

/** A database of its own for one test file. */
export interface TestDatabase {
  readonly url: string;
  readonly database: Database;
  /** Straight to the rows, past the code under test. */
  query(sql: string, values?: readonly unknown[]): Promise<Record<string, unknown>[]>;
  drop(): Promise<void>;
}

/** So that test files that start together make the template once. Any number does that no one else uses. */
const TEMPLATE_LOCK = 5_150_001;

/** A database with every migration applied, as a copy of a template (a tenth of a second). */
export async function createTestDatabase(connectionsMax = 10): Promise<TestDatabase> {
  const empty = await createEmptyDatabase(await templateName());
  const database = openDatabase({ url: empty.url, connectionsMax });
  const pool = new pg.Pool({ connectionString: empty.url, max: 2 });
  return {
    url: empty.url,
    database,
    query: async (sql, values = []) => (await pool.query(sql, [...values])).rows as Record<string, unknown>[],
    drop: async () => {
      await database.close();
      await pool.end();
      await empty.drop();
    },
  };
}

/** A database with nothing in it, or a copy of `template`. */
export async function createEmptyDatabase(
  template = 'template0',
): Promise<Pick<TestDatabase, 'url' | 'drop'>> {
  const server = await startTestServer();
  const name = `test_${process.pid}_${randomBytes(4).toString('hex')}`;
  await onServer(server.url, async (client) => {
    await client.query('SELECT pg_advisory_lock($1)', [TEMPLATE_LOCK]);
    await dropForgotten(client);
    if (template !== 'template0') await ensureTemplate(client, server.url, template);
    await client.query(`CREATE DATABASE ${name} TEMPLATE ${template}`);
  });
  return {
    url: urlOf(server.url, name),
    // Not WITH (FORCE): a connection that a test left open should be seen.
    drop: () => onServer(server.url, async (client) => void (await client.query(`DROP DATABASE ${name}`))),
  };
}

async function ensureTemplate(client: pg.Client, serverUrl: string, name: string): Promise<void> {
  const { rowCount } = await client.query('SELECT 1 FROM pg_database WHERE datname = $1', [name]);
  if (rowCount === 1) return;
  const building = `test_${process.pid}_building`;
  await client.query(`CREATE DATABASE ${building} TEMPLATE template0`);
  await migrate({ url: urlOf(serverUrl, building), directory: MIGRATIONS });
  await client.query(`ALTER DATABASE ${building} RENAME TO ${name}`);
}

/** Databases of test processes that were killed. */
async function dropForgotten(client: pg.Client): Promise<void> {
  const { rows } = await client.query<{ datname: string }>(
    `SELECT datname FROM pg_database WHERE datname ~ '^test_\\d+_'`,
  );
  for (const { datname } of rows) {
    const pid = Number(datname.split('_')[1]);
    if (!isRunning(pid)) await client.query(`DROP DATABASE IF EXISTS ${datname} WITH (FORCE)`);
  }
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

async function templateName(): Promise<string> {
  const hash = createHash('sha256');
  for (const name of (await readdir(MIGRATIONS)).sort()) {
    if (!name.includes('.'))
      hash.update(name).update(await readFile(join(MIGRATIONS, name, 'migration.sql')));
  }
  return `template_${hash.digest('hex').slice(0, 16)}`;
}

async function onServer(url: string, work: (client: pg.Client) => Promise<void>): Promise<void> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    await work(client);
  } finally {
    await client.end();
  }
}

function urlOf(serverUrl: string, database: string): string {
  const url = new URL(serverUrl);
  url.pathname = database;
  return url.href;
}
