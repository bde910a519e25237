import type { Progress } from './messages.js';

export interface TaskContext {
  /** Say how far the task has come. As often as it likes; at most four a second are passed on. */
  readonly progress: (progress: Progress) => void;
  /** Whether the caller wants no more and takes what there is. A task that goes on for long asks every few ms. */
  readonly isToWrapUp: () => boolean;
}

/** A named export of a task module. Input and output are copied, so they hold values and no functions. */
export type TaskFunction<Input, Output> = (input: Input, context: TaskContext) => Output | Promise<Output>;

/** Where a task is found by the thread that runs it. */
export interface TaskReference<Input, Output> {
  readonly module: URL;
  readonly name: string;
  /** Never there; carries the types. */
  readonly types?: (input: Input) => Output;
}

type InputOf<Task> = Task extends (input: infer Input, ...rest: never[]) => unknown ? Input : never;
type OutputOf<Task> = Task extends (...rest: never[]) => infer Output ? Awaited<Output> : never;

/**
 * Refer to the exports of a task module without loading it here.
 *
 * @example
 * const draftTask = tasksIn<typeof import('./draft.task.js')>(new URL('./draft.task.js', import.meta.url))('draft');
 * const pieces = await pool.run(draftTask, request, { deadlineMs: 30_000 });
 */
export function tasksIn<Module>(module: URL) {
  return <Name extends keyof Module & string>(
    name: Name,
  ): TaskReference<InputOf<Module[Name]>, OutputOf<Module[Name]>> => ({ module, name });
}

/** Thrown inside a task that refuses its input; the caller gets a ComputeError REJECTED with kind and details. */
export class TaskRejectedError extends Error {
  override readonly name = 'TaskRejectedError';

  constructor(
    readonly kind: string,
    message: string,
    readonly details: unknown = undefined,
  ) {
    super(message);
  }
}
