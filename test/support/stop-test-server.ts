import { startTestServer } from './test-server.js';

/** For a runner's end of all tests (Jest's globalTeardown). Left out, the server waits for the next run. */
export default async function stopTestServer(): Promise<void> {
  await (await startTestServer()).stop();
}
