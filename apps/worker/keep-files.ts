import { unreferencedFiles } from '#persistence';
import type { WorkerParts } from './worker-parts.js';

interface MadeFile {
  readonly bytes: Uint8Array;
  readonly sha256: string;
}

/**
 * Store files and then end the work that made them. Ended elsewhere meanwhile, it leaves none behind: files hold
 * measures.
 */
export async function keepFiles<Moved extends { readonly moved: boolean }>(
  { database, files }: Pick<WorkerParts, 'database' | 'files'>,
  made: readonly MadeFile[],
  end: () => Promise<Moved>,
): Promise<Moved> {
  await Promise.all(made.map(({ bytes }) => files.put(bytes)));
  const moved = await end();
  if (moved.moved) {
    // The same content, cancelled elsewhere between our writing and our commit, was removed as nobody's.
    const stored = await Promise.all(made.map(({ sha256 }) => files.has(sha256)));
    for (const [i, { bytes }] of made.entries()) if (!stored[i]) await files.put(bytes);
  } else {
    const hashes = made.map(({ sha256 }) => sha256);
    for (const hash of await unreferencedFiles(database.session, hashes)) await files.remove(hash);
  }
  return moved;
}
