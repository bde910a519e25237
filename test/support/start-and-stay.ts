// Run as a process of its own by starter-process.ts: argument 1 is the server's folder.
import { startEmbeddedPostgres } from '#embedded-postgres';

const server = await startEmbeddedPostgres({ directory: process.argv[2] ?? '', profile: 'test' });
console.log(JSON.stringify(server));
setInterval(() => undefined, 60_000);
