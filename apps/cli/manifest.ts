import { createHash } from 'node:crypto';
import type { Provenance } from '#pipeline';

export const MANIFEST_NAME = 'manifest.json';

export interface FolderFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

export interface Manifest extends Provenance {
  readonly files: readonly { readonly name: string; readonly bytes: number; readonly sha256: string }[];
}

/** The list of a folder's files, by name; it does not list itself. */
export function manifestOf({ engine, requestHash }: Provenance, files: readonly FolderFile[]): FolderFile {
  const listed = files.map(({ name, bytes }) => ({ name, bytes: bytes.byteLength, sha256: sha256(bytes) }));
  const manifest: Manifest = {
    engine,
    requestHash,
    files: listed.sort((a, b) => (a.name < b.name ? -1 : 1)),
  };
  return textFile(MANIFEST_NAME, `${JSON.stringify(manifest, null, 1)}\n`);
}

export function textFile(name: string, text: string): FolderFile {
  return { name, bytes: new TextEncoder().encode(text) };
}

export function sha256(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
