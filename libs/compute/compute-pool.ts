import { ComputeError } from './compute-error.js';
import { startHost, type ComputeHost, type HostEnd } from './compute-host.js';
import type { FromProcess, Progress, TaskEnd } from './messages.js';
import type { TaskReference } from './task.js';

export interface ComputePoolOptions {
  /** Tasks that run at once. */
  readonly threads: number;
  /** V8's heap of each thread. */
  readonly heapMbMax: number;
  /** The whole process with all its threads, buffers included; looked at ten times a second. */
  readonly memoryMbMax: number;
  /** Tasks that may wait for a thread; the next one is refused. */
  readonly waitingMax: number;
}

export interface RunOptions {
  /** From the call to the answer: waiting for a thread and starting one count. */
  readonly deadlineMs: number;
  readonly signal?: AbortSignal;
  /** Raised when the task is to come to an end with what it has; one that does not ask goes on. */
  readonly wrapUp?: AbortSignal;
  /** At most four times a second. */
  readonly onProgress?: (progress: Progress) => void;
}

export interface ComputePool {
  run<Input, Output>(task: TaskReference<Input, Output>, input: Input, options: RunOptions): Promise<Output>;
  /** Tasks that run and that wait, for a gauge. */
  readonly load: { readonly running: number; readonly waiting: number };
  /** Take no more tasks, give those at hand `graceMs` to end, then end the process. */
  close(options: { readonly graceMs: number }): Promise<void>;
}

/** A thread that does not let itself be stopped sits in native code; then the whole process goes. */
const STOP_MS_MAX = 2_000;

interface Task {
  readonly taskId: number;
  readonly label: string;
  readonly module: string;
  readonly name: string;
  readonly input: unknown;
  readonly onProgress: ((progress: Progress) => void) | undefined;
  readonly wrapUp: AbortSignal | undefined;
  /** Settles the caller's promise; only the first call counts. */
  readonly settle: (answer: Answer) => void;
}

type Answer = { readonly output: unknown } | { readonly error: ComputeError };

/**
 * A pool that keeps heavy work off the event loop: one child process, started at the first task, with threads inside.
 *
 * Whatever happens to a thread or to the process fails the tasks in flight with a `ComputeError` and nothing else:
 * the next task gets a new thread or a new process. A thread that runs out of heap fails its own task; a process
 * that runs out of memory fails all that run in it.
 */
export function openComputePool(options: ComputePoolOptions): ComputePool {
  return new ProcessPool(options);
}

class ProcessPool implements ComputePool {
  private host: ComputeHost | undefined;
  private lastTaskId = 0;
  private readonly waiting: Task[] = [];
  private readonly running = new Map<number, Task>();
  private readonly stopping = new Map<number, NodeJS.Timeout>();
  private isClosed = false;
  private whenIdle: (() => void) | undefined;

  constructor(private readonly options: ComputePoolOptions) {}

  get load(): { readonly running: number; readonly waiting: number } {
    return { running: this.running.size, waiting: this.waiting.length };
  }

  run<Input, Output>(
    { module, name }: TaskReference<Input, Output>,
    input: Input,
    { deadlineMs, signal, wrapUp, onProgress }: RunOptions,
  ): Promise<Output> {
    const refusal = this.refusal(name, signal);
    if (refusal !== undefined) return Promise.reject(refusal);
    return new Promise<Output>((resolve, reject) => {
      const stopWith = (code: 'DEADLINE_EXCEEDED' | 'CANCELLED'): void => {
        task.settle({ error: new ComputeError(code, name) });
        this.stop(task);
      };
      const timer = setTimeout(() => stopWith('DEADLINE_EXCEEDED'), deadlineMs);
      const onAbort = (): void => stopWith('CANCELLED');
      signal?.addEventListener('abort', onAbort, { once: true });
      const onWrapUp = (): void => this.wrapUp(task);
      wrapUp?.addEventListener('abort', onWrapUp, { once: true });
      const settle = (answer: Answer): void => {
        clearTimeout(timer);
        signal?.removeEventListener('abort', onAbort);
        wrapUp?.removeEventListener('abort', onWrapUp);
        if ('error' in answer) reject(answer.error);
        else resolve(answer.output as Output);
      };
      const taskId = ++this.lastTaskId;
      const task: Task = {
        taskId,
        label: name,
        module: module.href,
        name,
        input,
        onProgress,
        settle,
        wrapUp,
      };
      this.waiting.push(task);
      this.fill();
    });
  }

  async close({ graceMs }: { readonly graceMs: number }): Promise<void> {
    this.isClosed = true;
    const timer = setTimeout(() => this.end({ kind: 'closed' }), graceMs);
    if (this.running.size + this.waiting.length > 0) {
      await new Promise<void>((resolve) => (this.whenIdle = resolve));
    }
    clearTimeout(timer);
    this.host?.kill();
    this.host = undefined;
  }

  private refusal(name: string, signal: AbortSignal | undefined): ComputeError | undefined {
    if (this.isClosed) return new ComputeError('CLOSED', name);
    if (signal?.aborted === true) return new ComputeError('CANCELLED', name);
    const free = this.options.threads - this.running.size;
    if (this.waiting.length - free < this.options.waitingMax) return undefined;
    return new ComputeError('OVERLOADED', name, { message: `${this.waiting.length} tasks wait already` });
  }

  /** Hand waiting tasks to free threads. */
  private fill(): void {
    while (this.running.size < this.options.threads) {
      const task = this.waiting.shift();
      if (task === undefined) break;
      this.start(task);
    }
    if (this.running.size + this.waiting.length === 0) this.whenIdle?.();
  }

  private start(task: Task): void {
    const { taskId, module, name, input } = task;
    try {
      this.host ??= this.startHost();
      this.host.send({ kind: 'run', taskId, module, name, input });
      this.running.set(taskId, task);
      if (task.wrapUp?.aborted === true) this.wrapUp(task);
    } catch (error) {
      const { name: errorName, message, stack = '' } = error as Error;
      const thrown = { name: errorName, message, stack };
      task.settle({ error: new ComputeError('THREW', task.label, { message, thrown }) });
    }
  }

  private startHost(): ComputeHost {
    const host: ComputeHost = startHost(this.options, {
      onMessage: (message) => {
        if (this.host === host) this.receive(message);
      },
      onEnd: (end) => {
        if (this.host === host) this.end(end);
      },
    });
    return host;
  }

  private receive(message: FromProcess): void {
    const task = this.running.get(message.taskId);
    if (task === undefined) return;
    if (message.kind === 'progress') {
      const { kind: _, taskId, ...progress } = message;
      if (!this.stopping.has(taskId)) task.onProgress?.(progress);
      return;
    }
    this.release(task.taskId);
    task.settle(answerOf(message, task.label));
    this.fill();
  }

  /** Take a settled task back: out of the line, or off its thread. Its thread counts as taken until it is stopped. */
  private stop(task: Task): void {
    const place = this.waiting.indexOf(task);
    if (place >= 0) this.waiting.splice(place, 1);
    if (!this.running.has(task.taskId)) return this.fill();
    this.stopping.set(
      task.taskId,
      setTimeout(() => this.end({ kind: 'crashed', message: 'a thread could not be stopped' }), STOP_MS_MAX),
    );
    this.host?.send({ kind: 'stop', taskId: task.taskId });
  }

  /** One that waits is told when it is started. */
  private wrapUp({ taskId }: Task): void {
    if (this.running.has(taskId)) this.host?.send({ kind: 'wrap-up', taskId });
  }

  private release(taskId: number): void {
    clearTimeout(this.stopping.get(taskId));
    this.stopping.delete(taskId);
    this.running.delete(taskId);
  }

  /** The process is gone, or has to go: its tasks fail, the waiting ones get a new process. */
  private end(end: HostEnd | { readonly kind: 'closed' }): void {
    this.host?.kill();
    this.host = undefined;
    const lost = [...this.running.values(), ...(end.kind === 'closed' ? this.waiting.splice(0) : [])];
    for (const task of lost) {
      this.release(task.taskId);
      task.settle({ error: endError(end, task.label) });
    }
    this.fill();
  }
}

function endError(end: HostEnd | { readonly kind: 'closed' }, task: string): ComputeError {
  switch (end.kind) {
    case 'closed':
      return new ComputeError('CLOSED', task);
    case 'out-of-memory':
      return new ComputeError('OUT_OF_MEMORY', task, { message: end.message });
    case 'crashed':
      return new ComputeError('CRASHED', task, { message: end.message });
  }
}

function answerOf(end: TaskEnd, task: string): Answer {
  switch (end.kind) {
    case 'result':
      return { output: end.output };
    case 'rejected': {
      const { rejection } = end;
      return { error: new ComputeError('REJECTED', task, { message: rejection.kind, rejection }) };
    }
    case 'threw': {
      const { thrown } = end;
      return { error: new ComputeError('THREW', task, { message: thrown.message, thrown }) };
    }
    case 'out-of-memory':
      return { error: new ComputeError('OUT_OF_MEMORY', task, { message: 'the thread ran out of heap' }) };
    case 'crashed':
      return { error: new ComputeError('CRASHED', task, { message: end.message }) };
    case 'stopped':
      return { error: new ComputeError('CANCELLED', task) };
  }
}
