/** What the pool, its process and its threads say to each other. Only these types cross. */

export interface TaskMessage {
  readonly kind: 'run';
  readonly taskId: number;
  readonly module: string;
  readonly name: string;
  readonly input: unknown;
}

export interface StopMessage {
  readonly kind: 'stop';
  readonly taskId: number;
}

/** The task is to come to an end with what it has. */
export interface WrapUpMessage {
  readonly kind: 'wrap-up';
  readonly taskId: number;
}

export type ToProcess = TaskMessage | StopMessage | WrapUpMessage;

export type ToThread = TaskMessage | WrapUpMessage;

export interface Progress {
  readonly stage: string;
  /** 0 to 1. */
  readonly fraction: number;
  /** What is known already, by name. */
  readonly figures?: Readonly<Record<string, number>>;
}

/** A task's own word on why it refuses its input. */
export interface Rejection {
  readonly kind: string;
  readonly message: string;
  readonly details: unknown;
}

/** An error that was thrown on the other side of a process. */
export interface ThrownError {
  readonly name: string;
  readonly message: string;
  readonly stack: string;
}

export type TaskEnd =
  | { readonly kind: 'result'; readonly taskId: number; readonly output: unknown }
  | { readonly kind: 'rejected'; readonly taskId: number; readonly rejection: Rejection }
  | { readonly kind: 'threw'; readonly taskId: number; readonly thrown: ThrownError }
  | { readonly kind: 'out-of-memory'; readonly taskId: number }
  | { readonly kind: 'crashed'; readonly taskId: number; readonly message: string }
  | { readonly kind: 'stopped'; readonly taskId: number };

export type ProgressMessage = { readonly kind: 'progress'; readonly taskId: number } & Progress;

/** Every task that is sent ends with exactly one `TaskEnd`, unless the process itself ends. */
export type FromProcess = TaskEnd | ProgressMessage;

/** The process ends itself with this when it holds more memory than it may. */
export const EXIT_CODE_OUT_OF_MEMORY = 86;
