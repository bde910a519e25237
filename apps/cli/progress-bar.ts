import type { Streams } from './verb.js';

const WIDTH = 24;

/** A bar on the terminal, and nothing where nobody is looking. */
export class ProgressBar {
  private percent = -1;

  constructor(
    private readonly bar: Streams['bar'],
    private readonly what: string,
  ) {}

  /** `fraction` from 0 to 1. Draws only when the percent changes: drawing costs more than drafting a body. */
  show(fraction: number): void {
    const percent = Math.floor(100 * Math.min(1, Math.max(0, fraction)));
    if (this.bar === undefined || percent === this.percent) return;
    this.percent = percent;
    const full = Math.round((percent / 100) * WIDTH);
    this.bar.write(
      `\r${this.what} [${'#'.repeat(full)}${'.'.repeat(WIDTH - full)}] ${String(percent).padStart(3)} %`,
    );
  }

  /** Take the bar away, so that the next line starts on a clean one. */
  clear(): void {
    if (this.percent >= 0) this.bar?.write(`\r${' '.repeat(this.what.length + WIDTH + 9)}\r`);
    this.percent = -1;
  }
}
