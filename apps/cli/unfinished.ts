import { rmSync } from 'node:fs';
import { mkdir, rm } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';

/** Folders that are being filled and are not yet in place. */
const unfinished = new Set<string>();
let opened = 0;

/**
 * A new folder beside `path`, on the same disk, to write in before moving into place.
 *
 * Until `settle` is called with it, it is taken away with everything in it when the program ends, by an error or by
 * an interrupt. Not the system's own temporary folder, which may lie on another disk, and not readable by its owner
 * alone, since it may become the folder that was asked for.
 */
export async function folderBeside(path: string): Promise<string> {
  const target = resolve(path);
  opened += 1;
  const beside = `${target}.part-${process.pid}-${opened}`;
  await mkdir(dirname(target), { recursive: true });
  // A killed program of the same number may have left one behind.
  await rm(beside, { recursive: true, force: true });
  await mkdir(beside);
  if (unfinished.size === 0) process.once('exit', sweep);
  unfinished.add(beside);
  return beside;
}

export function settle(path: string): void {
  unfinished.delete(path);
  if (unfinished.size === 0) process.off('exit', sweep);
}

// Only synchronous work is done on exit.
function sweep(): void {
  for (const path of unfinished) rmSync(path, { recursive: true, force: true });
}
