import { mkdir, readdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';

/**
 * Note that this process uses a data folder, so that whoever ends first does not stop the others' database.
 *
 * Two that begin and end in the same millisecond can still miss each other; then the later one says that its
 * database has gone, and the next run works.
 */
export async function useFolder(dataFolder: string): Promise<{ leave(): Promise<'last' | 'others'> }> {
  const folder = join(dataFolder, 'users');
  await mkdir(folder, { recursive: true });
  const mine = join(folder, String(process.pid));
  await writeFile(mine, '');
  return {
    leave: async () => {
      await rm(mine, { force: true });
      const others = await readdir(folder);
      let living = 0;
      for (const name of others) {
        if (isRunning(Number(name))) living += 1;
        else await rm(join(folder, name), { force: true });
      }
      return living === 0 ? 'last' : 'others';
    },
  };
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}
