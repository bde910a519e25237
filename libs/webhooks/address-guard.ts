import ipaddr from 'ipaddr.js';

/**
 * Whether the address lies on the public internet.
 *
 * An allow-list: only what is global unicast passes, so a range nobody thought of is refused. Addresses that wrap an
 * IPv4 address (mapped, 6to4, NAT64, Teredo) are refused altogether: which host they lead to is another's choice.
 *
 * Source  IANA special-purpose address registries as kept by ipaddr.js; RFC 4291: global unicast is 2000::/3.
 */
export function isPublicAddress(address: string): boolean {
  if (!ipaddr.isValid(address)) return false;
  const parsed = ipaddr.parse(address);
  if (parsed.range() !== 'unicast') return false;
  return parsed.kind() === 'ipv4' || parsed.match(GLOBAL_UNICAST);
}

const GLOBAL_UNICAST = ipaddr.parseCIDR('2000::/3');

/** Whether there are addresses and all of them are public: which of them is connected to is another's choice. */
export function arePublic(addresses: readonly string[]): boolean {
  return addresses.length > 0 && addresses.every(isPublicAddress);
}

/** The address in a URL's host name, when it is one and no name. Brackets and decimal, hex, octal forms included. */
export function literalAddress(hostname: string): string | undefined {
  const bare = hostname.replace(/^\[(.*)\]$/, '$1');
  // The URL parser has turned 0x7f.1 and the like into four decimals already; ipaddr.js reads them all the same.
  return ipaddr.isValid(bare) ? ipaddr.parse(bare).toString() : undefined;
}

/**
 * Names that mean this machine or its network whatever they resolve to.
 *
 * Source  RFC 6761 (localhost), RFC 6762 (local), RFC 8375 (home.arpa), ICANN's reservation of internal; the rest is
 *         common practice, no source.
 */
const PRIVATE_SUFFIXES = [
  'localhost',
  'localdomain',
  'local',
  'internal',
  'intranet',
  'corp',
  'home',
  'lan',
  'home.arpa',
] as const;

/** Names without a dot are completed by the machine's own search list, so they are private too. */
export function isPrivateName(hostname: string): boolean {
  const name = hostname.toLowerCase().replace(/\.+$/, '');
  if (!name.includes('.')) return true;
  return PRIVATE_SUFFIXES.some((suffix) => name.endsWith(`.${suffix}`));
}
