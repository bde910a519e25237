import type { ByteRange } from '#storage';

/** Digits of a position in any file there can be; more is not a number we can hold exactly. */
const RANGE = /^bytes=\s*(\d{1,15})?-(\d{1,15})?\s*$/;

/**
 * What a Range header asks of a file.
 *
 * Shape   undefined for the whole file: no header, a form that is not understood, or several ranges at once, which a
 *         server may answer with the whole (RFC 9110 14.2). "unsatisfiable" when the file ends before it.
 */
export function readRange(
  header: string | undefined,
  bytes: number,
): ByteRange | 'unsatisfiable' | undefined {
  const match = RANGE.exec(header ?? '');
  if (match === null) return undefined;
  const [, from, to] = match;
  if (from === undefined) return to === undefined ? undefined : lastBytes(Number(to), bytes);
  const first = Number(from);
  const last = to === undefined ? bytes - 1 : Math.min(Number(to), bytes - 1);
  if (to !== undefined && Number(to) < first) return undefined;
  return first >= bytes ? 'unsatisfiable' : { first, last };
}

function lastBytes(count: number, bytes: number): ByteRange | 'unsatisfiable' {
  if (count === 0 || bytes === 0) return 'unsatisfiable';
  return { first: Math.max(0, bytes - count), last: bytes - 1 };
}

/** Whether If-None-Match names the version that would be sent (weak comparison, RFC 9110 13.1.2). */
export function isNamed(ifNoneMatch: string | undefined, tag: string): boolean {
  if (ifNoneMatch === undefined) return false;
  const tags = ifNoneMatch.split(',').map((text) => text.trim().replace(/^W\//, ''));
  return tags.includes('*') || tags.includes(tag);
}
