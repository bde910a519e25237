import { createHash, randomUUID } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import pg from 'pg';
import { PersistenceError } from './persistence-error.js';
import { translateError } from './translate-error.js';

export interface MigrateOptions {
  readonly url: string;
  /** The folder of Prisma's layout: `<name>/migration.sql`, applied in the order of the names. */
  readonly directory: string;
}

export interface MigrateResult {
  readonly applied: readonly string[];
  /** In the ledger but not in the folder: the database is newer than this program. */
  readonly unknown: readonly string[];
}

interface Migration {
  readonly name: string;
  readonly sql: string;
  readonly checksum: string;
}

interface LedgerRow {
  readonly migration_name: string;
  readonly checksum: string;
  readonly finished_at: Date | null;
  readonly rolled_back_at: Date | null;
}

/** The number Prisma's own migrate command locks, so that it and we never run at the same time. */
const ADVISORY_LOCK = 72_707_369;

/** A process that migrates takes seconds; one that has held the lock for longer is stuck. */
const LOCK_TIMEOUT = '120s';

// Column for column what Prisma makes, so that `prisma migrate deploy` can take over at any time.
const LEDGER = `CREATE TABLE IF NOT EXISTS "_prisma_migrations" (
  "id" VARCHAR(36) PRIMARY KEY NOT NULL,
  "checksum" VARCHAR(64) NOT NULL,
  "finished_at" TIMESTAMPTZ,
  "migration_name" VARCHAR(255) NOT NULL,
  "logs" TEXT,
  "rolled_back_at" TIMESTAMPTZ,
  "started_at" TIMESTAMPTZ NOT NULL DEFAULT now(),
  "applied_steps_count" INTEGER NOT NULL DEFAULT 0
)`;

/**
 * Bring the database up to the migrations of a folder.
 *
 * Shape   one transaction a file, its ledger row in it: a file is applied as a whole or not at all, and a killed
 *         run is simply run again. Any number of processes may start at once; one applies, the others wait.
 * Edges   what cannot run in a transaction (CREATE INDEX CONCURRENTLY) cannot be migrated this way.
 * Errors  PersistenceError MIGRATION_FAILED_BEFORE (a row Prisma left unfinished: resolve it first),
 *         MIGRATION_EDITED (an applied file was changed: restore it, and write a new one), MIGRATION_REFUSED.
 */
export async function migrate({ url, directory }: MigrateOptions): Promise<MigrateResult> {
  const migrations = await readMigrations(directory);
  const client = new pg.Client({ connectionString: url });
  client.on('error', () => undefined); // the query that was under way reports it
  try {
    await client.connect();
    await client.query(`SET lock_timeout = '${LOCK_TIMEOUT}'`);
    // Held by the connection: a killed process loses it with that.
    await client.query('SELECT pg_advisory_lock($1)', [ADVISORY_LOCK]);
    await client.query(LEDGER);
    const { rows: ledger } = await client.query<LedgerRow>(
      'SELECT * FROM "_prisma_migrations" ORDER BY "started_at"',
    );
    const pending = pendingOf(migrations, ledger);
    for (const migration of pending) await apply(client, migration);
    const known = new Set(migrations.map(({ name }) => name));
    const unknown = ledger.map((row) => row.migration_name).filter((name) => !known.has(name));
    return { applied: pending.map(({ name }) => name), unknown };
  } catch (error) {
    throw translateError(error);
  } finally {
    await client.end();
  }
}

async function readMigrations(directory: string): Promise<readonly Migration[]> {
  const entries = await readdir(directory, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isDirectory()).map(({ name }) => name);
  return Promise.all(
    names.sort().map(async (name) => {
      const bytes = await readFile(join(directory, name, 'migration.sql'));
      return { name, sql: bytes.toString(), checksum: createHash('sha256').update(bytes).digest('hex') };
    }),
  );
}

function pendingOf(migrations: readonly Migration[], ledger: readonly LedgerRow[]): readonly Migration[] {
  const counted = ledger.filter((row) => row.rolled_back_at === null);
  const failed = counted.find((row) => row.finished_at === null);
  if (failed !== undefined) {
    throw new PersistenceError('MIGRATION_FAILED_BEFORE', { migration: failed.migration_name });
  }
  const checksums = new Map(counted.map((row) => [row.migration_name, row.checksum]));
  const edited = migrations.find(({ name, checksum }) => (checksums.get(name) ?? checksum) !== checksum);
  if (edited !== undefined) throw new PersistenceError('MIGRATION_EDITED', { migration: edited.name });
  return migrations.filter(({ name }) => !checksums.has(name));
}

async function apply(client: pg.Client, { name, sql, checksum }: Migration): Promise<void> {
  await client.query('BEGIN');
  try {
    await client.query(sql);
    await client.query(
      `INSERT INTO "_prisma_migrations" ("id", "checksum", "migration_name", "finished_at", "applied_steps_count")
       VALUES ($1, $2, $3, now(), 1)`,
      [randomUUID(), checksum, name],
    );
    await client.query('COMMIT');
  } catch (error) {
    await client.query('ROLLBACK').catch(() => undefined); // a lost connection has rolled back already
    const { code = 'none', message } = error as pg.DatabaseError;
    throw new PersistenceError('MIGRATION_REFUSED', { migration: name, sqlState: code, message });
  }
}
