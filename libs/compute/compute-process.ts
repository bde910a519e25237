import { Worker } from 'node:worker_threads';
import {
  EXIT_CODE_OUT_OF_MEMORY,
  type FromProcess,
  type TaskEnd,
  type TaskMessage,
  type ToProcess,
} from './messages.js';

/**
 * The process of the pool: keeps idle threads, gives each task one, and reports how it ended. Its own event loop
 * stays free, so that it can stop a thread at any moment.
 */
const THREAD = new URL('./compute-thread.js', import.meta.url);
/** Buffers lie outside V8's heap, so its limit does not see them; this looks at the whole process instead. */
const MEMORY_CHECK_INTERVAL_MS = 100;

interface Thread {
  readonly worker: Worker;
  taskId: number | undefined;
}

const memoryBytesMax = Number(process.argv[2]);
const idle: Thread[] = [];
const busy = new Map<number, Thread>();

process.on('message', (message: ToProcess) => {
  if (message.kind === 'run') run(message);
  else if (message.kind === 'stop') stop(message.taskId);
  else busy.get(message.taskId)?.worker.postMessage(message);
});
// Nobody is left to answer to: also after the pool's own process was killed.
process.on('disconnect', () => process.exit(0));
// Ctrl-C reaches the whole group of processes; when this one ends is the pool's to say.
process.on('SIGINT', () => undefined);
process.on('SIGTERM', () => undefined);
setInterval(() => {
  if (process.memoryUsage.rss() > memoryBytesMax) process.exit(EXIT_CODE_OUT_OF_MEMORY);
}, MEMORY_CHECK_INTERVAL_MS);

function run(task: TaskMessage): void {
  const thread = idle.pop() ?? startThread();
  thread.taskId = task.taskId;
  busy.set(task.taskId, thread);
  thread.worker.postMessage(task);
}

function stop(taskId: number): void {
  const thread = busy.get(taskId);
  // It ended a moment ago; its end is on the way.
  if (thread === undefined) return;
  thread.taskId = undefined;
  busy.delete(taskId);
  void thread.worker.terminate().then(() => send({ kind: 'stopped', taskId }));
}

function startThread(): Thread {
  const thread: Thread = { worker: new Worker(THREAD), taskId: undefined };
  thread.worker.on('message', (message: FromProcess) => {
    if (message.kind === 'progress') send(message);
    else if (end(thread, message)) idle.push(thread);
  });
  thread.worker.on('error', (error: Error & { readonly code?: string }) => {
    const { taskId = -1 } = thread;
    const isMemory = error.code === 'ERR_WORKER_OUT_OF_MEMORY';
    end(
      thread,
      isMemory ? { kind: 'out-of-memory', taskId } : { kind: 'crashed', taskId, message: error.message },
    );
  });
  thread.worker.on('exit', (exitCode) => {
    const { taskId = -1 } = thread;
    end(thread, { kind: 'crashed', taskId, message: `the thread ended with exit code ${exitCode}` });
    const place = idle.indexOf(thread);
    if (place >= 0) idle.splice(place, 1);
  });
  return thread;
}

/** Report a task's end once; false when it had ended before. */
function end(thread: Thread, ended: TaskEnd): boolean {
  if (thread.taskId === undefined || ended.taskId !== thread.taskId) return false;
  busy.delete(thread.taskId);
  thread.taskId = undefined;
  send(ended);
  return true;
}

function send(message: FromProcess): void {
  if (process.connected) process.send?.(message);
}
