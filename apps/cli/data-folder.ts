import { access, constants, mkdir } from 'node:fs/promises';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

/** This file runs as dist/apps/cli/data-folder.js. */
const PROJECT = fileURLToPath(new URL('../../../', import.meta.url));

/** In the project where it can be written, else below the system's var/tmp, one for each user. */
export async function dataFolder(wanted = process.env['FORKLINE_DATA_FOLDER']): Promise<string> {
  if (wanted !== undefined && wanted !== '') return resolve(wanted);
  const inProject = resolve(PROJECT, '.forkline');
  return (await isWritable(inProject)) ? inProject : `/var/tmp/forkline-${process.getuid?.() ?? 'user'}`;
}

async function isWritable(folder: string): Promise<boolean> {
  try {
    await mkdir(folder, { recursive: true });
    await access(folder, constants.W_OK | constants.X_OK);
    return true;
  } catch {
    return false; // whose it is and why does not matter: there is another place
  }
}
