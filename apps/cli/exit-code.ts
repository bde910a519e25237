/** What the shell is told. */
export const EXIT = {
  /** The answer was written. */
  answered: 0,
  /** The answer is no: a stop finding, or rows that could not be read. Files are written all the same. */
  no: 1,
  /** Nothing was done: the command or what it was given is wrong. */
  usage: 2,
  /** The program itself failed. */
  broken: 3,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** The command cannot be carried out as it was typed; one line for each thing that is wrong. */
export class UsageError extends Error {
  override readonly name = 'UsageError';

  constructor(readonly lines: readonly string[]) {
    super(lines.join('\n'));
  }
}
