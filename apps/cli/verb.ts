import type { ExitCode } from './exit-code.js';

/** One thing the command line can do. */
export interface Verb {
  readonly name: string;
  /** One line, for the list of verbs. */
  readonly summary: string;
  /** Names of what stands behind the verb without an option, in order; all of them are needed. */
  readonly operands: readonly string[];
  readonly options: Readonly<Record<string, OptionSpec>>;
  /** What it does, writes and answers, for `--help`. */
  readonly description: readonly string[];
  run(call: Call, streams: Streams): Promise<ExitCode>;
}

export interface OptionSpec {
  /** What its value is called in the help: DIR, N, NAME. */
  readonly value: string;
  readonly says: string;
  readonly needed?: true;
  /** The words it may be, where it is one of a list. */
  readonly oneOf?: readonly string[];
}

/** What was typed, checked against the verb. */
export interface Call {
  readonly operands: readonly string[];
  readonly options: Readonly<Record<string, string>>;
}

/** Answers go to `out`; problems, rows and progress to `err`. Body measures go to neither. */
export interface Streams {
  out(line: string): void;
  err(line: string): void;
  /** Where a bar may be drawn; undefined when nobody is looking. */
  readonly bar: { write(text: string): void } | undefined;
}
