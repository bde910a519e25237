/** What an interrupt waits for; nothing most of the time. */
let winding: (() => Promise<void>) | undefined;

/** Until it is called with undefined, Ctrl-C runs this before the program ends. A second Ctrl-C ends it at once. */
export function windDownWith(stop: (() => Promise<void>) | undefined): void {
  winding = stop;
}

/** Without a listener an interrupt ends the program before it can take away what is half-written. */
export function endOnInterrupt(): void {
  const end = (exitCode: number): void => {
    const stop = winding;
    winding = undefined;
    if (stop === undefined) process.exit(exitCode);
    void stop()
      .catch(() => undefined) // it ends either way, and the next run copes with what is left
      .then(() => process.exit(exitCode));
  };
  process.on('SIGINT', () => end(130));
  process.on('SIGTERM', () => end(143));
  process.on('SIGHUP', () => end(129));
}
