import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** The folder that holds package.json and examples; this file runs as dist/apps/cli/engine-version.js. */
const ROOT = new URL('../../../', import.meta.url);

/** Name and version as they stand in every file. */
export function engineVersion(): string {
  const { version } = JSON.parse(readFileSync(new URL('package.json', ROOT), 'utf8')) as { version: string };
  return `forkline ${version}`;
}

export function examplePath(name: string): string {
  return fileURLToPath(new URL(`examples/${name}`, ROOT));
}
