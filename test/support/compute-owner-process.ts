import { openComputePool, tasksIn } from '#compute';

/** A process with a pool at work, to be killed: prints the pool's process id. */
const tasks = tasksIn<typeof import('./compute-tasks.js')>(new URL('./compute-tasks.js', import.meta.url));
const pool = openComputePool({ threads: 1, heapMbMax: 64, memoryMbMax: 512, waitingMax: 1 });
const { pid } = await pool.run(tasks('sum'), new Float64Array(1), { deadlineMs: 20_000 });
process.stdout.write(`${pid}\n`);
await pool.run(tasks('spinForEver'), undefined, { deadlineMs: 600_000 });
