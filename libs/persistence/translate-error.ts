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

/** Node's codes for a connection that was refused or cut. */
const BY_NODE_CODE: ReadonlySet<string> = new Set([
  'ECONNREFUSED',
  'ECONNRESET',
  'EPIPE',
  'ETIMEDOUT',
  'ENOTFOUND',
]);

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
  return new PersistenceError(codeOf(fault, sqlState), {
    ...(fault.meta?.modelName === undefined ? {} : { model: fault.meta.modelName }),
    ...(constraint === undefined ? {} : { constraint }),
    ...(sqlState === undefined ? {} : { sqlState }),
    ...(fault.code === undefined || fault.code === sqlState ? {} : { driverCode: fault.code }),
  });
}

function isFromDatabase(thrown: unknown): boolean {
  if (!types.isNativeError(thrown)) return false;
  const { code } = thrown as Fault;
  return (
    /^Prisma|^DriverAdapterError|^DatabaseError|^error$/.test(thrown.constructor.name) ||
    BY_NODE_CODE.has(code ?? '')
  );
}

function codeOf({ code = '' }: Fault, sqlState = ''): PersistenceErrorCode {
  const match = BY_SQL_STATE.find(([prefix]) => sqlState.startsWith(prefix));
  if (match !== undefined) return match[1];
  return BY_PRISMA_CODE[code] ?? (BY_NODE_CODE.has(code) ? 'UNAVAILABLE' : 'UNEXPECTED');
}

// 'violates check constraint "drafts_state_check"': the name is ours, the rest of a message may not be.
function constraintIn(message: string): string | undefined {
  return /constraint "([a-z0-9_]+)"/.exec(message)?.[1];
}
