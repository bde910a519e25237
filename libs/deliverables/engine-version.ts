import { readFileSync } from 'node:fs';

/** This file runs as dist/libs/deliverables/engine-version.js. */
const PACKAGE = new URL('../../../package.json', import.meta.url);

/** Name and version as they stand in every file. */
export function engineVersion(): string {
  const { version } = JSON.parse(readFileSync(PACKAGE, 'utf8')) as { version: string };
  return `forkline ${version}`;
}
