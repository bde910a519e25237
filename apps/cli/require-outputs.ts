import { stat } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { UsageError } from './exit-code.js';
import type { Call } from './verb.js';
import { requireFolder } from './write-folder.js';

export interface NamedFile {
  /** As the command line calls it. */
  readonly name: string;
  readonly path: string;
}

/** The files that these options name, those that were given. */
export function filesOf(options: Call['options'], names: readonly string[]): NamedFile[] {
  return names.flatMap((name) =>
    Object.hasOwn(options, name) ? [{ name: `--${name}`, path: options[name] }] : [],
  );
}

/** Throws UsageError when an output cannot be written where it is asked for, or would overwrite an input or another. */
export async function requireOutputs(
  inputs: readonly NamedFile[],
  outputs: readonly NamedFile[],
): Promise<void> {
  const files = [...inputs, ...outputs];
  const faults: string[] = [];
  for (const [i, { name, path }] of files.entries()) {
    if (i < inputs.length) continue;
    const twin = files.slice(0, i).find((other) => resolve(other.path) === resolve(path));
    if (twin !== undefined) faults.push(`${name} and ${twin.name} are the same file, ${path}.`);
    await requireFolder(dirname(resolve(path)), name);
    const found = await stat(path).catch(() => undefined);
    if (found?.isDirectory() === true)
      faults.push(`${name} ${path} is a folder, and a file is written there.`);
  }
  if (faults.length > 0) throw new UsageError(faults);
}
