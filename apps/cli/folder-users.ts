import { mkdir, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { identify } from '#embedded-postgres';

/**
 * Note that this process uses a data folder, so that whoever ends first does not stop the others' database.
 *
 * Each note holds when its process was started: the number of one that was killed is given to another program in time.
 * Two that begin and end in the same millisecond can still miss each other; then the later one says that its
 * database has gone, and the next run works.
 */
export async function useFolder(dataFolder: string): Promise<{ leave(): Promise<'last' | 'others'> }> {
  const folder = join(dataFolder, 'users');
  await mkdir(folder, { recursive: true });
  const mine = join(folder, String(process.pid));
  await writeFile(mine, (await identify(process.pid))?.started ?? '');
  return {
    leave: async () => {
      await rm(mine, { force: true });
      let living = 0;
      for (const name of await readdir(folder)) {
        const note = join(folder, name);
        if (await isThere(Number(name), note)) living += 1;
        else await rm(note, { force: true });
      }
      return living === 0 ? 'last' : 'others';
    },
  };
}

/** A note without a start is being written, or is of an earlier release: whoever has its number is taken for it. */
async function isThere(pid: number, note: string): Promise<boolean> {
  const started = await readFile(note, 'utf8').catch(() => '');
  const now = await identify(pid);
  return now !== undefined && (started === '' || now.started === started);
}
