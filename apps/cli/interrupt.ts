let answer: (() => void) | undefined;

/** Let `stop` answer the next interrupt instead of the end of the program; a second interrupt ends it all the same. */
export function answerInterrupt(stop: () => void): { release(): void } {
  answer = stop;
  return {
    release: () => {
      answer = undefined;
    },
  };
}

/** What an interrupt does: the work's own answer once, or the end. */
export function interrupted(exitCode: number): void {
  const stop = answer;
  answer = undefined;
  if (stop === undefined) process.exit(exitCode);
  stop();
}
