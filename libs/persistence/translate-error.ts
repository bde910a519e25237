import { types } from 'node:util';
import { PersistenceError, type PersistenceErrorCode } from './persistence-error.js';

/** SQLSTATE classes and codes (PostgreSQL manual, appendix A), the longer match first. */
const BY_SQL_STATE: readonly (readonly [prefix: string, code: PersistenceErrorCode])[] = [
  ['23505', 'ALREADY_EXISTS'],
  ['23503', 'REFERENCE_MISSING'],
  ['23', 'ROW_REFUSED'],
  ['22', 'ROW_REFUSED'],
  ['40', 'CONFLICT'],
  ['55P03', 'CONFLICT'],
  ['57014', 'TOO_SLOW'],
  ['57P', 'UNAVAILABLE'],
  ['08', 'UNAVAILABLE'],
  ['53', 'UNAVAILABLE'],
];

/** Prisma's codes for what never reached the database (its error reference). */
const BY_PRISMA_CODE: Readonly<Record<string, PersistenceErrorCode>> = {
  P1001: 'UNAVAILABLE',
  P1002: 'UNAVAILABLE',
  P1008: 'TOO_SLOW',
  P1017: 'UNAVAILABLE',
  P2024: 'TOO_SLOW',
  P2028: 'TOO_SLOW',
  P2034: 'CONFLICT',
};

/** What Prisma's driver calls a server that is not there, when there is no SQLSTATE. */
const BY_DRIVER_KIND: Readonly<Record<string, PersistenceErrorCode>> = {
  DatabaseNotReachable: 'UNAVAILABLE',
  ConnectionClosed: 'UNAVAILABLE',
  TooManyConnections: 'UNAVAILABLE',
  SocketTimeout: 'TOO_SLOW',
  TransactionWriteConflict: 'CONFLICT',
};

/** Node's codes for a connection that was refused or cut. */
const BY_NODE_CODE: ReadonlySet<string> = new Set([
  'ECONNREFUSED',
  'ECONNRESET',
  'EPIPE',
  'ETIMEDOUT',
  'ENOTFOUND',
]);

/** What pg says, without any code, when the server goes away in the middle or a connection is not had in time. */
const BY_MESSAGE: readonly (readonly [pattern: RegExp, code: PersistenceErrorCode])[] = [
  [/^Connection terminated|^Client has encountered a connection error/, 'UNAVAILABLE'],
  [/^timeout exceeded when trying to connect/, 'TOO_SLOW'],
];

interface DriverFault {
  readonly originalCode?: string;
  readonly originalMessage?: string;
  readonly kind?: string;
  readonly constraint?: { readonly index?: string };
}

interface Fault {
  readonly code?: string;
  readonly message?: string;
  readonly meta?: {
    readonly modelName?: string;
    readonly driverAdapterError?: { readonly cause?: DriverFault };
  };
}

/** Whatever Prisma or pg threw, as ours and without anybody's data. Errors that are ours pass unchanged. */
export function translateError(thrown: unknown): unknown {
  if (thrown instanceof PersistenceError || !isFromDatabase(thrown)) return thrown;
  const fault = thrown as Fault;
  const driver = fault.meta?.driverAdapterError?.cause;
  const sqlState = driver?.originalCode ?? (/^[0-9A-Z]{5}$/.test(fault.code ?? '') ? fault.code : undefined);
  const constraint =
    driver?.constraint?.index ?? constraintIn(driver?.originalMessage ?? fault.message ?? '');
  return new PersistenceError(codeOf(fault, sqlState, driver?.kind), {
    ...(fault.meta?.modelName === undefined ? {} : { model: fault.meta.modelName }),
    ...(constraint === undefined ? {} : { constraint }),
    ...(sqlState === undefined ? {} : { sqlState }),
    ...(fault.code === undefined || fault.code === sqlState ? {} : { driverCode: fault.code }),
  });
}

function isFromDatabase(thrown: unknown): boolean {
  if (!types.isNativeError(thrown)) return false;
  const { code = '' } = thrown as Fault;
  const isDrivers = /^Prisma|^DriverAdapterError|^DatabaseError|^error$/.test(thrown.constructor.name);
  return isDrivers || BY_NODE_CODE.has(code) || byMessage(thrown.message) !== undefined;
}

function codeOf({ code = '', message = '' }: Fault, sqlState = '', driverKind = ''): PersistenceErrorCode {
  const match = BY_SQL_STATE.find(([prefix]) => sqlState.startsWith(prefix))?.[1];
  const other = BY_NODE_CODE.has(code) ? 'UNAVAILABLE' : (byMessage(message) ?? 'UNEXPECTED');
  return match ?? BY_DRIVER_KIND[driverKind] ?? BY_PRISMA_CODE[code] ?? other;
}

function byMessage(message: string): PersistenceErrorCode | undefined {
  return BY_MESSAGE.find(([pattern]) => pattern.test(message))?.[1];
}

// 'violates check constraint "drafts_state_check"': the name is ours, the rest of a message may not be.
function constraintIn(message: string): string | undefined {
  return /constraint "([a-z0-9_]+)"/.exec(message)?.[1];
}
