import { lookup as systemLookup, type LookupAddress, type LookupOptions } from 'node:dns';
import { buildConnector } from 'undici';
import { arePublic, isPublicAddress, literalAddress } from './address-guard.js';
import type { AllowedReceivers } from './receiver-rules.js';

/** All addresses of a name, as node's own `dns.lookup` gives them. */
export type ResolveName = (
  hostname: string,
  done: (error: Error | null, addresses: readonly LookupAddress[]) => void,
) => void;

/** The connection would have left the public internet. */
export class AddressRefusedError extends Error {
  override readonly name = 'AddressRefusedError';
  readonly code = 'ADDRESS_REFUSED';
}

export const resolveBySystem: ResolveName = (hostname, done) =>
  systemLookup(hostname, { all: true, verbatim: true }, (error, addresses) => done(error, addresses ?? []));

export interface GuardOptions {
  readonly allowed: AllowedReceivers;
  readonly resolve: ResolveName;
  readonly connectTimeoutMs: number;
}

/**
 * Connect to public addresses only, and to the receivers the operator vouches for.
 *
 * The check sits in the very lookup whose answer is connected to. A check before it would trust the name server to
 * answer the same twice. One private address among many refuses them all: nobody honest mixes them.
 */
export function guardedConnector({
  allowed,
  resolve,
  connectTimeoutMs,
}: GuardOptions): buildConnector.connector {
  const connect = (isVouched: boolean): buildConnector.connector =>
    buildConnector({
      timeout: connectTimeoutMs,
      lookup: (hostname: string, options: LookupOptions, done: LookupDone) =>
        resolve(hostname, (error, addresses) => answer(error, addresses, { isVouched, options, done })),
    });
  const [open, guarded] = [connect(true), connect(false)];
  return (options, callback) => {
    const port = options.port === '' ? (options.protocol === 'http:' ? '80' : '443') : options.port;
    const address = literalAddress(options.hostname);
    const name = address?.includes(':') === true ? `[${options.hostname}]` : options.hostname;
    if (allowed.has(`${name}:${port}`)) return open(options, callback);
    // A literal address is never looked up, so it is looked at here.
    if (address !== undefined && !isPublicAddress(address)) {
      return callback(new AddressRefusedError(`address of ${options.hostname} refused`), null);
    }
    guarded(options, callback);
  };
}

type LookupDone = (error: Error | null, address: string | LookupAddress[], family?: number) => void;

interface LookupCall {
  readonly isVouched: boolean;
  readonly options: LookupOptions;
  readonly done: LookupDone;
}

function answer(
  error: Error | null,
  addresses: readonly LookupAddress[],
  { isVouched, options, done }: LookupCall,
): void {
  if (error !== null) return done(error, []);
  const [first] = addresses;
  if (first === undefined) return done(new Error('the name has no address'), []);
  if (!isVouched && !arePublic(addresses.map(({ address }) => address))) {
    return done(new AddressRefusedError('the name leads to an address that is not public'), []);
  }
  if (options.all === true) return done(null, [...addresses]);
  done(null, first.address, first.family);
}
