import { fileURLToPath } from 'node:url';

/** The folder that holds package.json and examples; this file runs as dist/apps/cli/example-path.js. */
const ROOT = new URL('../../../', import.meta.url);

export function examplePath(name: string): string {
  return fileURLToPath(new URL(`examples/${name}`, ROOT));
}
