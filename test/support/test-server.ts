import { fileURLToPath } from 'node:url';
import { startEmbeddedPostgres, type EmbeddedPostgres } from '#embedded-postgres';

const DIRECTORY = fileURLToPath(new URL('../../../.forkline/test-postgres', import.meta.url));

/** The one server of all test files and runs: the first starts it, the others adopt it. */
export function startTestServer(): Promise<EmbeddedPostgres> {
  return startEmbeddedPostgres({ directory: DIRECTORY, profile: 'test' });
}
