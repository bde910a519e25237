import { appendFileSync } from 'node:fs';
import { openQueue, type QueueBackend } from '#queue';
import { TEST_JOBS } from './queue-jobs.js';

/** A worker to kill: says "started" in the log file and then works for ever, or ends its process ("die"). */
const [backend, prefix, logFile, then] = process.argv.slice(2);
const onError = (error: Error): void => console.error(error.message);
const queue = await openQueue({
  backend: JSON.parse(backend) as QueueBackend,
  prefix,
  jobs: TEST_JOBS,
  onError,
});
await queue.startWorker({
  handlers: {
    'write-note': (_payload, { jobId }) => {
      appendFileSync(logFile, `${process.pid} started ${jobId}\n`);
      if (then === 'die') process.exit(1);
      return new Promise(() => undefined);
    },
    'send-note': () => Promise.resolve('done'),
  },
  random: () => 0,
  onError,
  onParked: ({ id, reason }) => {
    appendFileSync(logFile, `${process.pid} parked ${id} ${reason}\n`);
    return Promise.resolve();
  },
});
