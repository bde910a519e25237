import { isPrivateName, isPublicAddress, literalAddress } from './address-guard.js';
import { WebhookError } from './webhook-error.js';

export type ReceiverProblemCode =
  | 'URL_INVALID'
  | 'SCHEME_REFUSED'
  | 'CREDENTIALS_IN_URL'
  | 'PORT_REFUSED'
  | 'NAME_REFUSED'
  | 'ADDRESS_REFUSED';

export interface ReceiverProblem {
  readonly code: ReceiverProblemCode;
  /** What is wrong and what is allowed, for the person who registers the endpoint. */
  readonly message: string;
}

/** Receivers the operator vouches for, as `host:port` in the URL's own spelling: no rule but exactness for them. */
export type AllowedReceivers = ReadonlySet<string>;

const URL_LENGTH_MAX = 2_048;
const ALLOWED_RECEIVER = /^([a-z0-9.-]+|\[[0-9a-f:.]+\]):\d{1,5}$/;

/** Read the operator's list; an entry that could never match is a mistake and is refused. */
export function allowedReceivers(entries: readonly string[]): AllowedReceivers {
  for (const entry of entries) {
    if (!ALLOWED_RECEIVER.test(entry))
      throw new WebhookError('ALLOWED_RECEIVER_INVALID', { found: entry, allowed: 'host:port, lower case' });
  }
  return new Set(entries);
}

export function receiverOf(url: URL): string {
  return `${url.hostname}:${url.port === '' ? (url.protocol === 'http:' ? '80' : '443') : url.port}`;
}

/**
 * All that is wrong with an endpoint's URL, as far as it can be told without asking a name server.
 *
 * Used when an endpoint is registered, so that a person hears of it at once, and before each delivery. What a name
 * resolves to is looked at when the connection is made.
 */
export function receiverProblems(text: string, allowed: AllowedReceivers): ReceiverProblem[] {
  const url = URL.canParse(text) ? new URL(text) : undefined;
  if (url === undefined || text.length > URL_LENGTH_MAX) {
    return [{ code: 'URL_INVALID', message: `not an absolute URL of at most ${URL_LENGTH_MAX} characters` }];
  }
  if (url.protocol !== 'https:' && url.protocol !== 'http:') {
    return [{ code: 'SCHEME_REFUSED', message: `scheme ${url.protocol} is refused; use https:` }];
  }
  const problems: ReceiverProblem[] = [];
  if (url.username !== '' || url.password !== '') {
    problems.push({ code: 'CREDENTIALS_IN_URL', message: 'the URL holds credentials; leave them out' });
  }
  return allowed.has(receiverOf(url)) ? problems : [...problems, ...publicProblems(url)];
}

function publicProblems(url: URL): ReceiverProblem[] {
  const problems: ReceiverProblem[] = [];
  if (url.protocol !== 'https:') {
    problems.push({ code: 'SCHEME_REFUSED', message: `scheme ${url.protocol} is refused; use https:` });
  }
  // Below 1024 live mail, shells and name servers, which must not be talked to in our name.
  if (url.port !== '' && Number(url.port) < 1024) {
    problems.push({
      code: 'PORT_REFUSED',
      message: `port ${url.port} is refused; use 443 or 1024 and above`,
    });
  }
  const address = literalAddress(url.hostname);
  if (address === undefined ? isPrivateName(url.hostname) : !isPublicAddress(address)) {
    problems.push({
      code: address === undefined ? 'NAME_REFUSED' : 'ADDRESS_REFUSED',
      message: `${url.hostname} is not a host on the public internet`,
    });
  }
  return problems;
}
