import { randomBytes } from 'node:crypto';
import { open, readdir, rename, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { identify } from './running-process.js';

/** Where something is made before it is moved into place as a whole. Names its maker, so that a dead one is known. */
export function stagingPath(home: string): string {
  return join(home, `creating.${process.pid}.${randomBytes(6).toString('hex')}`);
}

/** Of two that make the same, the second finds the place taken and leaves the first one's there. */
export async function moveIntoPlace(staging: string, place: string): Promise<void> {
  try {
    await rename(staging, place);
  } catch (error) {
    if (!['ENOTEMPTY', 'EEXIST'].includes((error as NodeJS.ErrnoException).code ?? '')) throw error;
    await rm(staging, { recursive: true, force: true });
    return;
  }
  const folder = await open(dirname(place));
  await folder.sync().finally(() => folder.close());
}

/** Remove what killed makers have left. What an orphaned initdb still writes is left to the next sweep. */
export async function sweepStaging(home: string): Promise<void> {
  for (const name of await readdir(home)) {
    const pid = /^creating\.(\d+)\./.exec(name)?.[1];
    if (pid === undefined || (await identify(Number(pid))) !== undefined) continue;
    await rm(join(home, name), { recursive: true, force: true }).catch((error: NodeJS.ErrnoException) => {
      if (error.code !== 'ENOTEMPTY') throw error;
    });
  }
}
