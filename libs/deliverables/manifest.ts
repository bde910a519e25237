import { createHash } from 'node:crypto';
import type { Provenance } from '#pipeline';

export const MANIFEST_NAME = 'manifest.json';

export interface Manifest extends Provenance {
  /** The file that all of it was made from, where one was sent. */
  readonly original?: { readonly name: string; readonly bytes: number; readonly sha256: string };
  readonly files: readonly { readonly name: string; readonly bytes: number; readonly sha256: string }[];
}

interface Listed {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly sha256: string;
}

/** The text of the list of a folder's files, by name; it does not list itself. */
export function manifestText(
  { engine, requestHash }: Provenance,
  files: readonly Listed[],
  original?: Manifest['original'],
): string {
  const listed = files.map(({ name, bytes, sha256: hash }) => ({
    name,
    bytes: bytes.byteLength,
    sha256: hash,
  }));
  const manifest: Manifest = {
    engine,
    requestHash,
    ...(original === undefined ? {} : { original }),
    files: listed.sort((a, b) => (a.name < b.name ? -1 : 1)),
  };
  return `${JSON.stringify(manifest, null, 1)}\n`;
}

export function sha256(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
