import { zipSync, type Zippable } from 'fflate';

export interface ZipEntry {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** A zip cannot say "no date"; its first day stands for it. */
const NO_DATE = '1980-01-01';
/** A tenth larger than at the usual 6, in half the time. */
const LEVEL = 3;

/**
 * Files in one zip, in the order of their names.
 *
 * Shape  the same files and date give the same bytes everywhere: the deflate is JavaScript, and a member's date is noon
 *        of `dated`, without a zone. PNG and PDF are compressed already and are only stored.
 */
export function writeZip(entries: readonly ZipEntry[], dated: string = NO_DATE): Uint8Array {
  // Read as local time, which is what a zip holds; noon exists on every day everywhere.
  const mtime = `${dated}T12:00:00`;
  const sorted = [...entries].sort((a, b) => (a.name < b.name ? -1 : 1));
  const members: Zippable = {};
  for (const { name, bytes } of sorted)
    members[name] = [bytes, { level: /\.(png|pdf)$/.test(name) ? 0 : LEVEL, mtime, os: 0, attrs: 0 }];
  return zipSync(members);
}
