import { parentPort, receiveMessageOnPort, type MessagePort } from 'node:worker_threads';
import type { FromProcess, Progress, Rejection, TaskMessage, ThrownError, ToThread } from './messages.js';
import type { TaskContext, TaskFunction } from './task.js';

/** A thread that runs one task after another. Its modules stay loaded between them. */
const PROGRESS_INTERVAL_MS = 250;

const port = parentPort;
if (port === null) throw new Error('compute-thread runs as a worker thread only');
const send = (message: FromProcess): void => port.postMessage(message);

/** The last task that is to come to its end. */
let wrappedUpId = 0;

port.on('message', (message: ToThread) => {
  if (message.kind === 'wrap-up') wrappedUpId = message.taskId;
  else void runTask(message);
});

async function runTask(task: TaskMessage): Promise<void> {
  const { taskId } = task;
  try {
    const run = await taskFunction(task);
    const output = await run(task.input, contextOf(taskId));
    // Inside the try: an output that cannot be copied is the task's mistake too.
    send({ kind: 'result', taskId, output });
  } catch (thrown) {
    send(
      isRejection(thrown)
        ? { kind: 'rejected', taskId, rejection: rejectionOf(thrown) }
        : { kind: 'threw', taskId, thrown: thrownErrorOf(thrown) },
    );
  }
}

async function taskFunction({ module, name }: TaskMessage): Promise<TaskFunction<unknown, unknown>> {
  const loaded = (await import(module)) as Record<string, unknown>;
  const task = loaded[name];
  if (typeof task !== 'function') throw new TypeError(`${module} exports no function ${name}`);
  return task as TaskFunction<unknown, unknown>;
}

/** Throttled by the clock, not by a timer: a busy loop never lets a timer fire. */
function contextOf(taskId: number): TaskContext {
  let sentAt = -Infinity;
  return {
    progress: ({ stage, fraction, figures }: Progress) => {
      const now = performance.now();
      if (now - sentAt < PROGRESS_INTERVAL_MS) return;
      sentAt = now;
      send({ kind: 'progress', taskId, stage, fraction, ...(figures === undefined ? {} : { figures }) });
    },
    // Fetched, because a busy loop never lets a message come; while a task runs nothing else is sent here.
    isToWrapUp: () => {
      const received = receiveMessageOnPort(port as MessagePort) as
        { readonly message: ToThread } | undefined;
      if (received?.message.kind === 'wrap-up') wrappedUpId = received.message.taskId;
      return wrappedUpId === taskId;
    },
  };
}

/** By name, because a task may be bundled with its own copy of the class. */
function isRejection(thrown: unknown): thrown is Rejection {
  return thrown instanceof Error && thrown.name === 'TaskRejectedError';
}

function rejectionOf({ kind, message, details }: Rejection): Rejection {
  try {
    return { kind, message, details: structuredClone(details) };
  } catch {
    // Details that cannot be copied must not hide what the task had to say.
    return { kind, message, details: undefined };
  }
}

function thrownErrorOf(thrown: unknown): ThrownError {
  if (!(thrown instanceof Error)) return { name: 'Error', message: String(thrown), stack: '' };
  return { name: thrown.name, message: thrown.message, stack: thrown.stack ?? '' };
}
