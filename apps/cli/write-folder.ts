import { readdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { MANIFEST_NAME, sha256, type Deliverable, type Manifest } from '#deliverables';
import { UsageError } from './exit-code.js';
import { folderBeside, settle } from './unfinished.js';

/** A file as it will lie in a folder. */
export type FolderFile = Pick<Deliverable, 'name' | 'bytes'>;

/** Throws UsageError when files cannot go into `dir` because a file lies in its place or on the way to it. */
export async function requireFolder(dir: string, option = '--out'): Promise<void> {
  for (let path = resolve(dir); ; path = dirname(path)) {
    const found = await stat(path).catch(() => undefined);
    if (found?.isDirectory() === true) return;
    if (found !== undefined)
      throw new UsageError([`${option} ${dir}: ${path} is a file, and a folder is needed there.`]);
    if (path === dirname(path)) return;
  }
}

/**
 * Put files into a folder so that a folder with a manifest is always whole.
 *
 * They are written beside the folder first and then moved. A folder that is not there yet, or is empty, appears in
 * one step. Otherwise the old manifest goes first and the new one comes last, so that a reader who finds a manifest
 * finds its files; files of an earlier draft that this one does not have are removed, if they are still as they were
 * written. Anything else in the folder stays.
 *
 * @param files  with the manifest among them
 */
export async function writeFolder(dir: string, files: readonly FolderFile[]): Promise<void> {
  const target = resolve(dir);
  const beside = await folderBeside(target);
  for (const { name, bytes } of files) await writeFile(join(beside, name), bytes);
  if (await isAbsentOrEmpty(target)) await rename(beside, target);
  else await moveInto(target, beside, files);
  settle(beside);
}

async function isAbsentOrEmpty(target: string): Promise<boolean> {
  const names = await readdir(target).catch(() => []);
  return names.length === 0;
}

async function moveInto(target: string, beside: string, files: readonly FolderFile[]): Promise<void> {
  const earlier = await earlierFiles(target);
  await rm(join(target, MANIFEST_NAME), { force: true });
  const names = files.map(({ name }) => name);
  for (const name of names.filter((candidate) => candidate !== MANIFEST_NAME))
    await rename(join(beside, name), join(target, name));
  for (const name of earlier.filter((candidate) => !names.includes(candidate))) await rm(join(target, name));
  await rename(join(beside, MANIFEST_NAME), join(target, MANIFEST_NAME));
  await rm(beside, { recursive: true });
}

/** Files of an earlier draft that nobody has touched since: named in its manifest, with the bytes it says. */
async function earlierFiles(target: string): Promise<string[]> {
  const text = await readFile(join(target, MANIFEST_NAME), 'utf8').catch(() => '');
  const untouched = await Promise.all(
    listedFiles(text).map(async ({ name, sha256: listed }) => {
      const bytes = await readFile(join(target, name)).catch(() => undefined);
      return bytes !== undefined && sha256(bytes) === listed ? [name] : [];
    }),
  );
  return untouched.flat();
}

// The file may be anybody's: only plain names of this folder count.
function listedFiles(text: string): { readonly name: string; readonly sha256: string }[] {
  try {
    const { files } = JSON.parse(text) as Partial<Manifest>;
    return (files ?? []).filter(({ name }) => basename(name) === name && name !== MANIFEST_NAME);
  } catch {
    // Not a manifest of ours: then nothing in the folder is.
    return [];
  }
}
