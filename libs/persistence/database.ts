import { PrismaPg } from '@prisma/adapter-pg';
import pg from 'pg';
import { PrismaClient } from './generated/client.js';
import type { Session, Transaction } from './session.js';
import { translateError } from './translate-error.js';

export interface DatabaseOptions {
  readonly url: string;
  /** Connections at most. All processes together must stay below the server's own limit (100 by default). */
  readonly connectionsMax?: number;
  /** Longest wait for a connection before a transaction begins. */
  readonly waitMs?: number;
  /** Longest life of a transaction: its rows are locked all the while. */
  readonly transactionMs?: number;
}

/** All or nothing. Nothing but `tx` may be used inside, or that part is not undone. */
export interface UnitOfWork {
  run<T>(work: (tx: Transaction) => Promise<T>): Promise<T>;
}

export interface Database {
  /** For single statements and reads. */
  readonly session: Session;
  readonly unitOfWork: UnitOfWork;
  /** Answers when the server does; throws PersistenceError UNAVAILABLE otherwise. */
  ping(): Promise<void>;
  close(): Promise<void>;
}

const CONNECTIONS_MAX = 10;

/** A burst of requests waits here for its turn; a client's own patience is a few times longer. */
const WAIT_MS = 15_000;

/** Transactions here are a handful of statements; one that takes this long waits for something wrong. */
const TRANSACTION_MS = 15_000;

/**
 * Open the service's database. Connects at the first use.
 *
 * Errors  every call may throw PersistenceError; `retryable` says whether the same again may succeed.
 */
export function openDatabase(options: DatabaseOptions): Database {
  const { url, connectionsMax = CONNECTIONS_MAX, waitMs = WAIT_MS, transactionMs = TRANSACTION_MS } = options;
  const pool = new pg.Pool({ connectionString: url, max: connectionsMax, connectionTimeoutMillis: waitMs });
  // A connection cut while idle is replaced at the next use; without a listener it would end the process.
  pool.on('error', () => undefined);
  const client = translating(new PrismaClient({ adapter: new PrismaPg(pool) }));
  return {
    session: client as unknown as Session,
    unitOfWork: {
      run: <T>(work: (tx: Transaction) => Promise<T>): Promise<T> =>
        client
          .$transaction((tx) => work(tx as unknown as Transaction), {
            maxWait: waitMs,
            timeout: transactionMs,
          })
          .catch(rethrow),
    },
    ping: async () => {
      await client.$queryRaw`SELECT 1`;
    },
    close: async () => {
      await client.$disconnect();
      await pool.end();
    },
  };
}

function translating(client: PrismaClient) {
  return client.$extends({
    query: { $allOperations: ({ args, query }) => (query(args) as Promise<unknown>).catch(rethrow) },
  });
}

function rethrow(thrown: unknown): never {
  throw translateError(thrown);
}
