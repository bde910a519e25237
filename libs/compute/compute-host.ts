import { fork, type ChildProcess } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { EXIT_CODE_OUT_OF_MEMORY, type FromProcess, type ToProcess } from './messages.js';

export interface HostOptions {
  /** V8's heap of each thread. */
  readonly heapMbMax: number;
  /** The whole process, buffers included. */
  readonly memoryMbMax: number;
}

export interface HostEnd {
  readonly kind: 'out-of-memory' | 'crashed';
  readonly message: string;
}

export interface HostListener {
  readonly onMessage: (message: FromProcess) => void;
  /** Called once, when the process is gone. */
  readonly onEnd: (end: HostEnd) => void;
}

/** The pool's child process, seen from the pool. */
export interface ComputeHost {
  send(message: ToProcess): void;
  /** At once, whatever it does. */
  kill(): void;
}

const PROCESS = fileURLToPath(new URL('./compute-process.js', import.meta.url));
/** Enough of what a dying V8 says to tell that it was memory. */
const STDERR_CHARS_KEPT = 8_192;

/**
 * Start the process. It gets no environment, so no secret reaches a task, and one time zone and locale, so that a
 * task cannot depend on the machine's.
 */
export function startHost({ heapMbMax, memoryMbMax }: HostOptions, listener: HostListener): ComputeHost {
  const child = fork(PROCESS, [String(memoryMbMax * 1024 * 1024)], {
    // The flag limits every thread's heap on its own; limits given to a thread would be overridden by it.
    execArgv: [`--max-old-space-size=${heapMbMax}`],
    env: { TZ: 'UTC', LANG: 'C' },
    // Structured clone over the channel: typed arrays, maps and dates arrive as such.
    serialization: 'advanced',
    stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
  });
  let stderr = '';
  child.stderr?.setEncoding('utf8').on('data', (chunk: string) => {
    stderr = (stderr + chunk).slice(-STDERR_CHARS_KEPT);
  });
  child.on('message', listener.onMessage);
  endOf(child, () => stderr, listener.onEnd);
  return {
    send: (message) => child.send(message),
    kill: () => void child.kill('SIGKILL'),
  };
}

function endOf(child: ChildProcess, stderr: () => string, onEnd: (end: HostEnd) => void): void {
  let hasEnded = false;
  const end = (ended: HostEnd): void => {
    if (!hasEnded) onEnd(ended);
    hasEnded = true;
  };
  child.once('error', (error) => end({ kind: 'crashed', message: error.message }));
  // "close" and not "exit": what it said last has arrived by then.
  child.once('close', (exitCode, signal) => {
    const isMemory =
      exitCode === EXIT_CODE_OUT_OF_MEMORY || /out of memory|invalid table size/i.test(stderr());
    const message = signal === null ? `exit code ${exitCode}` : `signal ${signal}`;
    end({ kind: isMemory ? 'out-of-memory' : 'crashed', message: `the process ended with ${message}` });
  });
}
