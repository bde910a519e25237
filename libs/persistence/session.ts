import type { Prisma } from './generated/client.js';

declare const session: unique symbol;
declare const transaction: unique symbol;

/** A way to the rows: every repository method takes one first. Each call is on its own unless it is a transaction. */
export interface Session {
  readonly [session]: true;
}

/** A session whose calls all happen or none does. Got from `UnitOfWork.run` only. */
export interface Transaction extends Session {
  readonly [transaction]: true;
}

/** The client behind a session. Not exported by the library: outside of it a session is opaque. */
export function rows(of: Session): Prisma.TransactionClient {
  return of as unknown as Prisma.TransactionClient;
}
